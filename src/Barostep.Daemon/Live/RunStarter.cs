using Barostep.Configuration;
using Barostep.Daemon.Commands;
using Barostep.Daemon.Guards;
using Barostep.Daemon.Hosting;
using Barostep.Daemon.Sweeps;
using Barostep.Evaluation;
using Barostep.Records;
using Microsoft.Extensions.Logging;

namespace Barostep.Daemon.Live;

/// <summary>What the daemon runs sweeps with.</summary>
/// <param name="Workshop">The configuration, as loaded at the start.</param>
/// <param name="GuardOf">The guard of each bench.</param>
/// <param name="Simulated">Whether the benches are simulated ones.</param>
/// <param name="Store">Where runs are kept.</param>
internal sealed record RunMeans(
    WorkshopConfiguration Workshop, Func<string, GuardOrder> GuardOf, bool Simulated, RunStore Store);

/// <summary>Runs sweeps in the daemon: each on a thread of its own, through the bench's guard, by the code of <c>sweep</c>.</summary>
internal sealed class RunStarter(RunMeans means, RunCounts counts, OperatorLifetime lifetime, TimeProvider time, ILogger<RunStarter> log)
{
    /// <summary>Opening ports and asking the guard; where it takes longer, something is wrong.</summary>
    private static readonly TimeSpan LongestStart = TimeSpan.FromSeconds(30);

    /// <summary>Begins a run and waits until the guard has allowed it.</summary>
    /// <exception cref="RefusedException">It was refused before any pressure; the message says why.</exception>
    public async Task<RunSheet> StartAsync(BenchBoard board, string device, string procedure, string who)
    {
        SweepJob job = SweepCommands.Prepare(
            means.Workshop, board.Bench.Name, device, procedure, Guid.CreateVersion7().ToString(), means.Simulated, allowance: null) with
        {
            PerformedBy = who,
        };
        var sheet = new RunSheet(job, time.GetUtcNow(), counts);
        if (!board.TryBegin(sheet))
        {
            sheet.Dispose();
            throw new RefusedException($"a run is going on at bench {board.Bench.Name}");
        }

        var begun = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        var worker = new Thread(() => Work(board, sheet, begun)) { IsBackground = true, Name = $"run on {board.Bench.Name}" };
        worker.Start();
        try
        {
            await begun.Task.WaitAsync(LongestStart, time);
        }
        catch (TimeoutException)
        {
            sheet.Stop();
            throw new RefusedException($"the guard of bench {board.Bench.Name} did not allow the run in time; if it begins now, it is stopped");
        }

        return sheet;
    }

    private void Work(BenchBoard board, RunSheet sheet, TaskCompletionSource begun)
    {
        SweepJob job = sheet.Look().Job;
        using CancellationTokenRegistration stop = lifetime.Stop.Register(sheet.Stop);
        using CancellationTokenRegistration dump = lifetime.Dump.Register(sheet.Dump);
        using var told = new LoggedLines(log);
        var order = new SweepOrder(
            job,
            (_, tell) => new GuardedPlace(job, means.GuardOf(job.Bench.Name) with { Tell = tell }, journalCopy: null, told),
            Folder: null);
        try
        {
            (RunResult result, _) = new SweepWork(order, means.Store, time, log).Do(sheet.Signals, (run, header) =>
            {
                sheet.Begin(run.Bench, header);
                begun.SetResult();
                return sheet;
            });
            sheet.Conclude(result);
        }
        catch (RefusedException refused) when (!begun.Task.IsCompleted)
        {
            board.TakeBack(sheet);
            begun.SetException(refused);
        }
#pragma warning disable CA1031 // One run's fault must not end the daemon, and with it the runs of the other benches.
        catch (Exception failed)
#pragma warning restore CA1031
        {
            // The bench vents by itself: what this thread wanted lapses with it.
            log.LogError(failed, "Bench {Bench}: run {Run} could not go on", job.Bench.Name, job.RunId);
            sheet.Fail(failed.Message);
            begun.TrySetException(new RefusedException(failed.Message));
        }
        finally
        {
            sheet.LetGo();
        }
    }

    /// <summary>What would be told to people at a terminal goes into the log.</summary>
    private sealed class LoggedLines(ILogger log) : StringWriter(System.Globalization.CultureInfo.InvariantCulture)
    {
        public override void WriteLine(string? value) => log.LogWarning("{Line}", value);
    }
}
