using Barostep.Procedures;
using Barostep.Safety;

namespace Barostep.Daemon.Simulation;

/// <summary>The states of a bench in which a fault can begin.</summary>
internal enum BenchState
{
    Boot,
    Safe,
    Armed,
    Pressurise,
    Settle,
    Read,
    Step,
    Vent,
    Tripped,
    Stopping,
}

/// <summary>Names what guard and run do now as one of the ten states.</summary>
internal static class BenchStates
{
    public static BenchState Of(GuardPhase guard, RunPhase run) => guard switch
    {
        GuardPhase.Tripped => BenchState.Tripped,
        GuardPhase.Stopping => BenchState.Stopping,
        GuardPhase.Boot => BenchState.Boot,
        GuardPhase.Venting => BenchState.Vent,
        GuardPhase.Testing => BenchState.Armed,
        GuardPhase.Safe => run == RunPhase.Zeroing ? BenchState.Read : BenchState.Safe,
        GuardPhase.Permitted => run switch
        {
            RunPhase.Pressurising or RunPhase.Preloading or RunPhase.Ramping => BenchState.Pressurise,
            RunPhase.Settling or RunPhase.LeakTesting => BenchState.Settle,
            RunPhase.Reading => BenchState.Read,
            RunPhase.Stepping => BenchState.Step,
            RunPhase.Venting => BenchState.Vent,
            _ => BenchState.Armed,
        },
        _ => throw new ArgumentOutOfRangeException(nameof(guard)),
    };
}
