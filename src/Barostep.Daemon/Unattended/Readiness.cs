using Barostep.Daemon.Live;
using Barostep.Safety;
using Barostep.Unattended;

namespace Barostep.Daemon.Unattended;

/// <summary>What the daemon knows of a bench before a queued run begins there.</summary>
internal static class Readiness
{
    /// <summary>A guard tells of every cycle, twenty times a second.</summary>
    private const long OldestWordMicros = 1_000_000;

    /// <param name="sight">The bench as it is now.</param>
    /// <param name="mounted">The device that a person said is mounted.</param>
    public static BenchReadiness Of(BenchSight sight, string mounted)
    {
        bool runs = sight.Run is { Ended: null };
        if (sight.Told is not { } told)
            return new BenchReadiness(Heard: false, Vented: false, Identified: false, Cause.None, runs, mounted);
        return new BenchReadiness(
            sight.GuardIsHere && sight.AgeMicros <= OldestWordMicros,
            told.Bench is { Phase: GuardPhase.Safe, Depressurised: true },
            // Nothing but a question for its identity is sent to an instrument before it has answered that as expected.
            told.Bench.Reference.IsGood && told.Bench.LineFault is null && !told.Bench.Causes.Contains(Cause.IdentityChanged),
            told.Bench.FirstCause,
            runs,
            mounted);
    }
}
