using System.Text;
using Barostep.Control;
using Barostep.Daemon.Simulation.Faults;
using Barostep.Safety;

namespace Barostep.Daemon.Simulation.Checkers;

/// <summary>I12: once everything is mended the bench is vented in time and a run completes; and a wish to vent is followed at once.</summary>
internal sealed class LivenessChecker : Checker
{
    /// <summary>Vent, at the rate of the slowest bench, and what proves it, µs.</summary>
    private const long VentedWithinMicros = 40_000_000;

    private const long FollowedWithinMicros = 250_000;

    /// <summary>With these the source cannot be told, or somebody else tells it.</summary>
    private const Reach Excused = Reach.SourceDeaf | Reach.SourceBlind | Reach.Foreign | Reach.GuardGone;

    private long _askedMicros = long.MaxValue;
    private bool _vented;
    private GuardPhase _phase;
    private long _leftMicros = long.MaxValue;

    public override string Name => "I12 liveness";

    public override void VentAsked(bool atOnce) => _askedMicros = Math.Min(_askedMicros, NowMicros);

    public override void GuardStarted(bool wasLeftOpen)
    {
        _askedMicros = long.MaxValue;
        _leftMicros = long.MaxValue;
        _phase = GuardPhase.Boot;
    }

    public override void Sent(string port, ReadOnlySpan<byte> bytes)
    {
        if (port != "controller" || _leftMicros == long.MaxValue)
            return;
        string text = Encoding.ASCII.GetString(bytes);
        bool lets = text.StartsWith("SOUR:MODE VENT", StringComparison.Ordinal) || text.StartsWith("SOUR:PRES:TARG 0.000000", StringComparison.Ordinal);
        if (lets)
            _leftMicros = long.MaxValue;
    }

    public override void GuardCycled(in BenchSnapshot told)
    {
        if (World.Guard.IsStopped || told.Phase != GuardPhase.Permitted)
            _askedMicros = long.MaxValue;
        else if (NowMicros > _askedMicros && NowMicros - _askedMicros > FollowedWithinMicros)
            Report($"a wish to vent was not followed within {FollowedWithinMicros / 1000} ms: the guard still permits pressure");
        FollowWire(told);
        _vented |= NowMicros > World.People.MendedMicros && told.Depressurised;
        if (!_vented && World.People.MendedMicros < long.MaxValue && NowMicros - World.People.MendedMicros > VentedWithinMicros)
            Report($"{VentedWithinMicros / 1_000_000} s after everything was mended the bench is not depressurised: phase {told.Phase}, {told.Causes}");
    }

    // Whatever takes the permission away is said on the wire, not only decided.
    private void FollowWire(in BenchSnapshot told)
    {
        if (Holds(_phase) && !Holds(told.Phase))
            _leftMicros = NowMicros;
        else if (Holds(told.Phase) || World.Guard.IsStopped)
            _leftMicros = long.MaxValue;
        _phase = told.Phase;
        if (_leftMicros < long.MaxValue && NowMicros - _leftMicros > FollowedWithinMicros && (World.Faults.Touched & Excused) == 0)
            Report($"{FollowedWithinMicros / 1000} ms after pressure was no longer permitted the source was not told to let it go");
    }

    // While the dump valve is tested the source holds, and the valve takes the gas.
    private static bool Holds(GuardPhase phase) => phase is GuardPhase.Permitted or GuardPhase.Testing;

    public override void Over()
    {
        if (World.People.LastRunCompleted is not { } completed)
            Report($"everything was mended at {World.People.MendedMicros} µs and no run could be made by {NowMicros} µs: guard {World.Guard.Last.Phase}, {World.Guard.Last.Causes}");
        else if (!completed)
            Report($"after everything was mended the run ended as {World.People.LastReason}");
    }
}
