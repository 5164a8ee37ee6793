using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using Barostep.Configuration;
using Barostep.Lines;
using Barostep.Lines.GuardLine;

namespace Barostep.Daemon.Live;

/// <summary>What the daemon knows of one bench at one moment.</summary>
/// <param name="Told">What its guard told last; null before the first word.</param>
/// <param name="GuardIsHere">Whether a guard is connected.</param>
/// <param name="Run">The run that goes on, or the last one of this daemon; null before the first.</param>
/// <param name="NowMicros">When this was looked at, monotonic.</param>
internal sealed record BenchSight(SnapshotRecord? Told, bool GuardIsHere, RunSight? Run, long NowMicros)
{
    /// <summary>Age of what the guard told, µs; null before the first word.</summary>
    public long? AgeMicros => Told is { } told ? Math.Max(0, NowMicros - told.Bench.NowMicros) : null;

    /// <summary>
    /// Changes with whatever two people could decide about at once: the run, the ceiling, a trip. What was decided on an
    /// older one is refused.
    /// </summary>
    public string Revision
    {
        get
        {
            string decided = string.Create(
                CultureInfo.InvariantCulture,
                $"{Run?.Job.RunId} {Run?.Ended is not null} {Told?.Bench.EffectiveCeiling.MilliPascals} {Told?.Bench.TripNumber} {Told?.Bench.FirstCause}");
            return Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(decided)).AsSpan(0, 8));
        }
    }
}

/// <summary>Where a bench's guard and run leave what they tell, and everybody else looks. Any thread; nothing here waits.</summary>
/// <param name="bench">The bench.</param>
/// <param name="simulated">Whether it is a simulated one.</param>
/// <param name="time">The clocks.</param>
internal sealed class BenchBoard(BenchDefinition bench, bool simulated, TimeProvider time)
{
    private readonly Lock _gate = new();
    private readonly Dictionary<string, long> _vents = [];
    private SnapshotRecord? _told;
    private GuardClient? _guard;
    private RunSheet? _run;
    private uint? _tripSeen;

    public BenchDefinition Bench { get; } = bench;

    public bool Simulated { get; } = simulated;

    /// <summary>The recent past, for charts.</summary>
    public BenchTrace Trace { get; } = new();

    /// <summary>The run that goes on, or the last one; null before the first.</summary>
    public RunSheet? Run
    {
        get
        {
            lock (_gate)
                return _run;
        }
    }

    /// <summary>The connection to the guard; null while there is none.</summary>
    public GuardClient? Guard
    {
        get
        {
            lock (_gate)
                return _guard;
        }
    }

    public BenchSight Look()
    {
        lock (_gate)
            return new BenchSight(_told, _guard is not null, _run?.Look(), time.NowMicros());
    }

    /// <summary>Vents that a trip asked for since the daemon's start, by first cause.</summary>
    public IReadOnlyDictionary<string, long> SafetyVents()
    {
        lock (_gate)
            return new Dictionary<string, long>(_vents);
    }

    public void GuardCame(GuardClient guard)
    {
        lock (_gate)
            _guard = guard;
    }

    public void GuardWent()
    {
        lock (_gate)
            _guard = null;
    }

    public void Tell(in SnapshotRecord told)
    {
        lock (_gate)
        {
            _told = told;
            // The trip that a guard came up with happened before: it is not this daemon's to count.
            if (_tripSeen is { } seen && told.Bench.TripNumber != seen)
            {
                string cause = told.Bench.FirstCause.ToString();
                _vents[cause] = _vents.GetValueOrDefault(cause) + 1;
            }

            _tripSeen = told.Bench.TripNumber;
            Trace.Add(_told.Value.Bench, _run?.Look());
        }
    }

    /// <summary>Takes a new run; false while one goes on.</summary>
    public bool TryBegin(RunSheet run)
    {
        lock (_gate)
        {
            if (_run is { IsOver: false })
                return false;
            _run = run;
            return true;
        }
    }

    /// <summary>Forgets a run that never began.</summary>
    public void TakeBack(RunSheet run)
    {
        lock (_gate)
        {
            if (ReferenceEquals(_run, run))
                _run = null;
        }
    }
}
