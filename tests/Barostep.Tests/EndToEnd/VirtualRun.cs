using Barostep.Configuration;
using Barostep.Control;
using Barostep.Daemon.Sweeps;
using Barostep.Evaluation;
using Barostep.Records;
using Barostep.Safety;
using Barostep.Simulators;

namespace Barostep.Tests.EndToEnd;

/// <summary>A run on a simulated bench of the test's own making, on virtual time, in this process.</summary>
internal static class VirtualRun
{
    public static readonly DateTimeOffset Started = new(2026, 3, 2, 8, 0, 0, TimeSpan.Zero);

    public static SweepJob Job(Workshop workshop, string bench, string device, string procedure)
    {
        WorkshopConfiguration all = workshop.Load();
        return new SweepJob(all.Benches[bench], all.Devices[device], all.Procedures[procedure], all.Origins, "virtual", Simulated: true);
    }

    public static RunResult Of(SweepJob job, string benchFile, Func<long, IReadOnlyList<IRunWatcher>>? watchers = null)
    {
        SimulatedBench bench = SimulatedBench.Load(benchFile, seed: 1);
        using var journal = new SafetyJournal(new MemoryJournalFile(), JournalHead.Genesis, wasLeftOpen: false);
        var guarded = new Bench(job.Bench, BenchSafety.LimitsFor(job.Bench, job.Device, job.Origins), SafetyState.Initial, journal);
        var run = new SweepRun(job, guarded, Started, bench.NowMicros, watchers?.Invoke(bench.NowMicros) ?? []);
        run.Begin(bench.NowMicros);
        RunRecord record = new VirtualSweep(run, bench).Run(CancellationToken.None);
        Assert.True(record.Outcome == RunOutcome.Completed, record.OutcomeReason);
        return RunEvaluation.Evaluate(record);
    }
}
