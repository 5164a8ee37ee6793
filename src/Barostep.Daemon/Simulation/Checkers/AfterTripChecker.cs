using Barostep.Control;
using Barostep.Daemon.Simulation.Faults;
using Barostep.Safety;
using Barostep.Simulators;

namespace Barostep.Daemon.Simulation.Checkers;

/// <summary>I7: after a trip the pressure does not rise (with a source that hears nothing, not above what the open dump lets out), nothing but a person's acknowledgement ends it, and it outlives every restart.</summary>
internal sealed class AfterTripChecker : Checker
{
    private const double RisePascals = 3_000;

    private const double SettlesSeconds = 0.5;

    /// <summary>With these the gas has a will of its own, or nothing is left to take it away.</summary>
    private const Reach Excused = Reach.GasMoves | Reach.FillOpen | Reach.VentShut | Reach.DumpDeaf | Reach.Foreign;

    private WorstCase? _worst;
    private bool _latched;
    private bool _afterUncleanStart;
    private bool _firstCycle;
    private int _acknowledged;
    private long _sinceMicros;
    private double _lowest;

    public override string Name => "I7 trip stays";

    public override void GuardStarted(bool wasLeftOpen)
    {
        _firstCycle = true;
        _afterUncleanStart |= wasLeftOpen;
    }

    public override void GuardCycled(in BenchSnapshot told)
    {
        if (World.People.Acknowledged != _acknowledged)
        {
            _acknowledged = World.People.Acknowledged;
            _latched = false;
            _afterUncleanStart = false;
        }

        if (_latched && told.Phase != GuardPhase.Tripped)
            Report($"a trip that nobody acknowledged has ended{(_firstCycle ? " with a restart" : "")}: phase {told.Phase}");
        if (_afterUncleanStart && told.Phase is GuardPhase.Permitted or GuardPhase.Testing)
            Report("pressure is permitted after an unclean stop that nobody acknowledged");
        if (told.Phase == GuardPhase.Tripped && !_latched)
        {
            _latched = true;
            _sinceMicros = NowMicros;
            _lowest = double.MaxValue;
        }

        _firstCycle = false;
    }

    public override void Look(in TrueState truth)
    {
        _worst ??= new WorstCase(World.Setup);
        _worst.Look(truth);
        if (!_latched || truth.TimeMicros - _sinceMicros < SettlesSeconds * 1e6 || (World.Faults.Touched & Excused) != 0)
            return;
        double rest = (World.Faults.Touched & Reach.SourceDeaf) == 0 ? truth.AtmospherePa : _worst.BalancePascals();
        if (truth.PressurePa > Math.Max(_lowest, rest) + RisePascals)
            Report($"{(truth.TimeMicros - _sinceMicros) / 1e6:0.00} s after a trip the gas rises, from {_lowest:0} to {truth.PressurePa:0} Pa absolute");
        _lowest = Math.Min(_lowest, truth.PressurePa);
    }
}
