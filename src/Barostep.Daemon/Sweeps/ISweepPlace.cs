using Barostep.Control;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Daemon.Sweeps;

/// <summary>Where a sweep is done: on a simulated bench in this process, or on a bench that a guard process holds.</summary>
internal interface ISweepPlace : IDisposable
{
    /// <summary>The bench, as the run sees it.</summary>
    Bench Bench { get; }

    /// <summary>The place's own monotonic clock.</summary>
    long NowMicros { get; }

    /// <summary>Where the journal that was left behind ends; null where none was.</summary>
    JournalHead? JournalEnd { get; }

    /// <summary>Passes the time until the run has ended, and leaves its journal behind.</summary>
    RunRecord Pass(SweepRun run, OperatorSignals signals);
}
