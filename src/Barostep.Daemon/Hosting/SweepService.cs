using Barostep.Certificates;
using Barostep.Daemon.Commands;
using Barostep.Daemon.Output;
using Barostep.Daemon.Sweeps;
using Barostep.Evaluation;
using Barostep.Evaluation.Characteristics;
using Barostep.Records;
using Barostep.Safety;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;

namespace Barostep.Daemon.Hosting;

/// <summary>How one sweep is done and shown.</summary>
/// <param name="Job">What is done.</param>
/// <param name="Open">Opens the place where it is done, given the time of the start and who is told of its guard.</param>
/// <param name="Folder">Where its files go; null for nowhere.</param>
/// <param name="StorePath">The records it is added to; null for none.</param>
/// <param name="Json">One document instead of a table.</param>
internal sealed record SweepOrder(
    SweepJob Job,
    Func<DateTimeOffset, Action<string>, ISweepPlace> Open,
    RunFolder? Folder,
    string? StorePath,
    bool Json)
{
    /// <summary>Signs where the journal ended; null where it is kept nowhere.</summary>
    public Action<JournalHead>? SignJournal { get; init; }
}

/// <summary>Does one sweep, leaves its files behind, and ends the program with the code that says how it went.</summary>
internal sealed class SweepService(
    SweepOrder order,
    CommandIo io,
    OperatorLifetime signals,
    IHostApplicationLifetime application,
    TimeProvider time,
    ILogger<SweepService> log) : BackgroundService
{
    /// <summary>The program's exit code, once the sweep is over.</summary>
    public int ExitCode { get; private set; } = ExitCodes.InstrumentFailure;

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        try
        {
            // The control cycle keeps a thread for itself: a busy pool must not make it late.
            ExitCode = await Task.Factory.StartNew(Run, CancellationToken.None, TaskCreationOptions.LongRunning, TaskScheduler.Default);
        }
        catch (RefusedException refused)
        {
            ExitCode = ExitCodes.Refused;
            await io.Error.WriteLineAsync(refused.Message);
        }
        finally
        {
            application.StopApplication();
        }
    }

    private int Run()
    {
        using ISweepPlace place = order.Open(time.GetUtcNow(), line => log.LogInformation("{Line}", line));
        DateTimeOffset startedUtc = time.GetUtcNow();
        long startMicros = place.NowMicros;
        using var telemetry = new TelemetryWatcher(order.Job, startedUtc, startMicros);
        using RunStore? store = order.StorePath is { } path ? RunStore.Open(path) : null;
        ResultTable? table = order.Json ? null : new ResultTable(io.Out, order.Job.Device);
        Pressure atmosphere = Configuration.BenchLimits.AtmosphereOf(order.Job.Bench);
        var watchers = new List<IRunWatcher> { telemetry, new LogWatcher(log) };
        var run = new SweepRun(order.Job, place.Bench, startedUtc, startMicros, watchers);
        run.Begin(startMicros);
        RunRecord header = run.Record(startMicros);
        watchers.Insert(0, new ConsoleWatcher(header, atmosphere, table, io.Error, io.IsInteractive, time));
        using StoreWatcher? keeper = store is null ? null : new StoreWatcher(store, header);
        if (keeper is not null)
            watchers.Add(keeper);
        table?.WriteTitle(header);
        table?.WriteHead();

        RunRecord record = place.Pass(run, signals);
        if (place.JournalEnd is { } end)
            order.SignJournal?.Invoke(end);
        RunResult result = RunEvaluation.Evaluate(record);
        order.Folder?.Write(result);
        keeper?.End(record);
        RunResult? asFound = store is null ? null : JobText.AsFoundBefore(store, record);
        if (order.Job.Laboratory is { } laboratory && record.Outcome == RunOutcome.Completed)
            order.Folder?.Write(Draft(result, asFound, laboratory, store));
        if (order.Json)
            WriteJson(result);
        table?.WriteClosing(result);
        if (table is not null)
        {
            CharacteristicText.Write(io.Out, result);
            JobText.WriteNext(io.Out, record, result, asFound);
        }

        return ExitCodes.Of(result);
    }

    private static Certificate Draft(RunResult result, RunResult? asFound, Configuration.Laboratory laboratory, RunStore? store)
    {
        IReadOnlyList<Adjustment> adjustments = result.Record.Job is { } use ? store?.Jobs.Get(use.Job.Name)?.Adjustments ?? [] : [];
        return RunCertificate.Draft(asFound is null ? [result] : [asFound, result], laboratory, adjustments);
    }

    private void WriteJson(RunResult result)
    {
        using var buffer = new MemoryStream();
        RunJson.Write(buffer, result);
        io.Out.WriteLine(System.Text.Encoding.UTF8.GetString(buffer.ToArray()));
    }
}
