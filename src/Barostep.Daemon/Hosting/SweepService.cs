using Barostep.Configuration;
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
    /// <summary>Who answers what the run asks; null for a simulated person who confirms everything.</summary>
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
        Pressure atmosphere = BenchLimits.AtmosphereOf(job.Bench);
        OperatorSignals wishes = order.Answers is { } answers ? signals.Signals with { Answers = answers } : signals.Signals;
        var work = new SweepWork(order.Sweep, store, time, log);
        (RunResult result, RunResult? asFound) = work.Do(wishes, (_, header) =>
        {
            TellManifold(job);
            table?.WriteTitle(header);
            table?.WriteHead();
            return new ConsoleWatcher(header, atmosphere, table, io.Error, io.IsInteractive, time);
        });
        if (order.Json)
            WriteJson([result, .. work.Beside]);
        table?.WriteClosing(result);
        if (table is not null)
        {
            CharacteristicText.Write(io.Out, result);
            JobText.WriteNext(io.Out, result.Record, result, asFound);
            foreach (RunResult other in work.Beside)
            {
                io.Out.WriteLine();
                ResultTable.Write(io.Out, other);
                CharacteristicText.Write(io.Out, other);
            }
        }

        return work.Beside.Select(ExitCodes.Of).Prepend(ExitCodes.Of(result)).Max();
    }

    /// <summary>Before anything moves: what hangs where, and which of it sets the ceiling.</summary>
    private void TellManifold(SweepJob job)
    {
        if (job.Beside.Count == 0)
            return;
        foreach (MountedDevice one in job.Bench.Mounted)
            io.Error.WriteLine($"device {one.Device.Name} is read at input {one.Input.Name}, {one.Input.Fitted.Definition.Title}");
        PressureLimit ceiling = BenchLimits.Ceilings(job.Bench, job.Device, job.Origins)[0];
        io.Error.WriteLine($"ceiling {ceiling.Stated}: {ceiling.Name} ({ceiling.Origin.FileAndLine})");
    }

    /// <summary>One document; of several devices on one manifold a list, the leading one first.</summary>
    private void WriteJson(IReadOnlyList<RunResult> results)
    {
        string[] documents = [.. results.Select(TextOf)];
        io.Out.WriteLine(documents.Length == 1 ? documents[0] : $"[\n{string.Join(",\n", documents)}\n]");
    }

    private static string TextOf(RunResult result)
    {
        using var buffer = new MemoryStream();
        RunJson.Write(buffer, result);
        return System.Text.Encoding.UTF8.GetString(buffer.ToArray());
    }
}
