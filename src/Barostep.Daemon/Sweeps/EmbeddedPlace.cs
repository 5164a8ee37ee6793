using Barostep.Control;
using Barostep.Lines.Journals;
using Barostep.Records;
using Barostep.Safety;
using Barostep.Simulators;

namespace Barostep.Daemon.Sweeps;

/// <summary>A simulated bench in memory, on virtual time; both halves share this process.</summary>
internal sealed class EmbeddedPlace : ISweepPlace
{
    private readonly SimulatedBench _simulated;
    private readonly SafetyJournal _journal;

    /// <param name="job">What is done.</param>
    /// <param name="simulated">The simulated bench.</param>
    /// <param name="journalPath">The journal's file; null to forget it.</param>
    /// <param name="startedUtc">What the wall clock says at the start.</param>
    public EmbeddedPlace(SweepJob job, SimulatedBench simulated, string? journalPath, DateTimeOffset startedUtc)
    {
        _simulated = simulated;
        JournalFile file = journalPath is null ? new MemoryJournalFile() : new FileJournal(journalPath, onVirtualTime: true);
        _journal = new SafetyJournal(file, JournalHead.Genesis, wasLeftOpen: false);
        SafetyLimits limits = BenchSafety.LimitsFor(job.Bench, job.Device, job.Origins);
        Bench = new Bench(job.Bench, limits, SafetyState.Initial, _journal);
        var stamp = new JournalStamp(NowMicros, startedUtc.ToUnixTimeMilliseconds());
        new JournalOpening(job.Bench.Name, 1, job.Simulated).Write(_journal, stamp, limits, SafetyState.Initial);
    }

    public Bench Bench { get; }

    public long NowMicros => _simulated.NowMicros;

    public JournalHead? JournalEnd { get; private set; }

    public RunRecord Pass(SweepRun run, OperatorSignals signals)
    {
        RunRecord record = new VirtualSweep(run, _simulated).Run(signals.Stop, signals.Answers);
        var stamp = new JournalStamp(NowMicros, record.EndedUtc.ToUnixTimeMilliseconds());
        _journal.Write(stamp, new StopPayload("the run ended", record.VentConfirmed));
        _journal.RequestFlush();
        JournalEnd = _journal.Head;
        return record with { JournalHead = _journal.Head.Hash };
    }

    public void Dispose() => _journal.Dispose();
}
