using Barostep.Daemon.Simulation.Faults;
using Barostep.Simulators;

namespace Barostep.Daemon.Simulation.Checkers;

/// <summary>I5: while people are shown that the bench is depressurised, it is; or that is withdrawn as fast as the slower sensor can tell.</summary>
internal sealed class SafeShownChecker : Checker
{
    /// <summary>1 kPa that proves it, and what both sensors may be wrong by, Pa.</summary>
    private const double BandPascals = 1_400;

    /// <summary>The slower sensor is asked five times a second and believed for little more than a second when it falls silent, s.</summary>
    private const double WithdrawnSeconds = 0.5;

    private const double SilentSeconds = 1.5;

    private const Reach Reference = Reach.ReferenceLies | Reach.ReferenceBlind;
    private const Reach Source = Reach.SourceLies | Reach.SourceBlind;

    private long _outsideSinceMicros = long.MaxValue;

    public override string Name => "I5 safe shown";

    public override void Look(in TrueState truth)
    {
        // What is shown of a guard that stands still is as old as its last cycle, and people see that.
        bool shown = World.Guard is { IsUp: true, IsStopped: false } && World.Guard.Last.Depressurised;
        bool outside = Math.Abs(truth.PressurePa - truth.AtmospherePa) > BandPascals;
        if (!shown || !outside || BothSensorsAreUnsure)
        {
            _outsideSinceMicros = long.MaxValue;
            return;
        }

        _outsideSinceMicros = Math.Min(_outsideSinceMicros, truth.TimeMicros);
        double allowed = IsOneSensorUnsure ? SilentSeconds : WithdrawnSeconds;
        if (truth.TimeMicros - _outsideSinceMicros > allowed * 1e6)
            Report($"the bench is shown as depressurised and is at {(truth.PressurePa - truth.AtmospherePa) / 1e5:0.0000} bar gauge for more than {allowed} s");
    }

    private bool BothSensorsAreUnsure => (World.Faults.Touched & Reference) != 0 && (World.Faults.Touched & Source) != 0;

    private bool IsOneSensorUnsure => (World.Faults.Touched & (Reference | Source | Reach.GuardGone)) != 0;
}
