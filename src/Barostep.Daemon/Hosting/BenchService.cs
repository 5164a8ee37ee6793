using Barostep.Configuration;
using Barostep.Control;
using Barostep.Daemon.Lines;
using Barostep.Daemon.Output;
using Barostep.Daemon.Sweeps;
using Barostep.Safety;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;

namespace Barostep.Daemon.Hosting;

/// <summary>Keeps one bench watched while the daemon runs: vented, its lines open, every cycle in its journal.</summary>
internal sealed class BenchService(
    BenchDefinition definition,
    WorkshopConfiguration workshop,
    string? ports,
    OperatorLifetime signals,
    TimeProvider time,
    ILogger<BenchService> log) : BackgroundService
{
    /// <summary>Longest wait for the vent's proof after a stop; the journal says which it was.</summary>
    private const long VentProofMicros = 60_000_000;

    private CauseSet shown;
    private GuardPhase phase;
    private string? lineFault;
    private long stoppedMicros;
    private bool confirmed;

    protected override Task ExecuteAsync(CancellationToken stoppingToken) =>
        Task.Factory.StartNew(Run, CancellationToken.None, TaskCreationOptions.LongRunning, TaskScheduler.Default);

    private void Run()
    {
        string folder = Path.Combine(Path.GetFullPath(workshop.Daemon.StateFolder), "journals", definition.Name);
        (SafetyJournal journal, int fileNumber, SafetyState start) = JournalFolder.Open(folder);
        using SafetyJournal closing = journal;
        SafetyLimits limits = BenchSafety.LimitsFor(definition, null, workshop.Origins);
        var opening = new JournalOpening(definition.Name, fileNumber, Simulated: ports is not null);
        opening.Write(journal, StampNow(), limits, start);
        var bench = new Bench(definition, limits, start, journal);
        using var loop = new RealTimeLoop(bench, BenchLines.AddressesOf(definition, ports is null ? null : Path.Combine(ports, definition.Name)), time);
        log.LogInformation("Bench {Bench}: journal {Folder}, file {File}", definition.Name, folder, fileNumber);
        loop.Run((now, person) => Cycle(bench, now, person), signals.Stop, signals.Dump);
        journal.Write(StampNow(), new StopPayload("the daemon was stopped", confirmed));
        journal.RequestFlush();
        log.LogInformation("Bench {Bench}: stopped, vent {Confirmed}", definition.Name, confirmed ? "confirmed" : "NOT confirmed");
    }

    private bool Cycle(Bench bench, long now, in PersonRequest person)
    {
        bench.Cycle(new CycleClock(now, time.GetUtcNow().ToUnixTimeMilliseconds()), person, confirmed: false);
        BenchSnapshot snapshot = bench.Snapshot;
        if (snapshot.Causes != shown || snapshot.Phase != phase)
        {
            (shown, phase) = (snapshot.Causes, snapshot.Phase);
            log.LogInformation("Bench {Bench}: {Phase}, verdict {Verdict}, causes {Causes}", definition.Name, phase, snapshot.Verdict, shown);
        }

        if (snapshot.LineFault != lineFault)
        {
            lineFault = snapshot.LineFault;
            if (lineFault is not null)
                log.LogWarning("Bench {Bench}: {Fault}", definition.Name, lineFault);
        }

        if (!signals.Stop.IsCancellationRequested)
            return true;
        if (stoppedMicros == 0)
            stoppedMicros = now;
        confirmed = snapshot.Depressurised;
        return !confirmed && now - stoppedMicros < VentProofMicros;
    }

    private JournalStamp StampNow() => new(time.NowMicros(), time.GetUtcNow().ToUnixTimeMilliseconds());
}
