using Barostep.Daemon.Commands;
using Barostep.Daemon.Output;
using Barostep.Daemon.Sweeps;
using Barostep.Evaluation;
using Barostep.Evaluation.Characteristics;
using Barostep.Procedures.Prompts;
using Barostep.Records;
using Barostep.Safety;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;

namespace Barostep.Daemon.Hosting;

/// <summary>One sweep in the foreground, and how it is shown there.</summary>
/// <param name="Sweep">What is done.</param>
/// <param name="StorePath">The records it is added to; null for none.</param>
/// <param name="Json">One document instead of a table.</param>
internal sealed record ForegroundSweep(SweepOrder Sweep, string? StorePath, bool Json)
{
    /// <summary>Who answers what the run asks; null for the person at the terminal, or at a simulated bench one who confirms everything.</summary>
    public Func<Prompt?, PersonAnswer?>? Answers { get; init; }
}

/// <summary>Does one sweep, leaves its files behind, and ends the program with the code that says how it went.</summary>
internal sealed class SweepService(
    ForegroundSweep order,
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
        SweepJob job = order.Sweep.Job;
        using RunStore? store = order.StorePath is { } path ? RunStore.Open(path) : null;
        ResultTable? table = order.Json ? null : new ResultTable(io.Out, job.Device);
        Pressure atmosphere = Configuration.BenchLimits.AtmosphereOf(job.Bench);
        Func<Prompt?, PersonAnswer?>? answers = order.Answers ?? (job.Simulated ? null : AtTerminal(Console.In, job));
        OperatorSignals wishes = answers is null ? signals.Signals : signals.Signals with { Answers = answers };
        (RunResult result, RunResult? asFound) = new SweepWork(order.Sweep, store, time, log).Do(wishes, (_, header) =>
        {
            table?.WriteTitle(header);
            table?.WriteHead();
            return new ConsoleWatcher(header, atmosphere, table, io.Error, io.IsInteractive, time);
        });
        if (order.Json)
            WriteJson(result);
        table?.WriteClosing(result);
        if (table is not null)
        {
            CharacteristicText.Write(io.Out, result);
            JobText.WriteNext(io.Out, result.Record, result, asFound);
        }

        return ExitCodes.Of(result);
    }

    private Func<Prompt?, PersonAnswer?> AtTerminal(TextReader lines, SweepJob job) =>
        new PersonAtTerminal(lines, io.Error, job.Device, job.PerformedBy.Length == 0 ? Environment.UserName : job.PerformedBy).Answers;

    private void WriteJson(RunResult result)
    {
        using var buffer = new MemoryStream();
        RunJson.Write(buffer, result);
        io.Out.WriteLine(System.Text.Encoding.UTF8.GetString(buffer.ToArray()));
    }
}
