using Barostep.Configuration;
using Barostep.Daemon.Output;
using Barostep.Records;
using Barostep.Unattended;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;

namespace Barostep.Daemon.Unattended;

/// <summary>What goes on while nobody looks: the queue, telling people, the morning's summary.</summary>
internal sealed class UnattendedService(
    RunQueue queue, BenchWatch watch, RunStore store, NotifySettings settings, TimeProvider time, ILogger<UnattendedService> log) : BackgroundService
{
    private static readonly TimeSpan Every = TimeSpan.FromSeconds(1);

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        // The daemon starts whatever this finds; the host would wait for it otherwise.
        await Task.Yield();
        queue.Recover();
        DateTimeOffset since = LastSummary();
        using var timer = new PeriodicTimer(Every, time);
        try
        {
            while (await timer.WaitForNextTickAsync(stoppingToken))
                since = await StepAsync(since);
        }
        catch (OperationCanceledException)
        {
            // The daemon stops.
        }
    }

    /// <summary>A daemon that was down when the summary was due sends it when it is back.</summary>
    private DateTimeOffset LastSummary() => store.Notices.Newest(NoticeKind.Summary)?.Notice.AtUtc ?? time.GetUtcNow();

    private async Task<DateTimeOffset> StepAsync(DateTimeOffset since)
    {
        try
        {
            watch.Step();
            await queue.StepAsync();
            DateTimeOffset now = time.GetUtcNow();
            if (settings.SummaryAt?.After(since) <= now)
            {
                MorningSummary summary = MorningSummary.Of(store, since, now, settings.DueWithinDays);
                store.Notices.Add(new Notice(NoticeKind.Summary, now, SummaryText.Title(summary), SummaryText.Of(summary)));
                return now;
            }
        }
#pragma warning disable CA1031 // What nobody watches must not end the daemon that others do.
        catch (Exception failed)
#pragma warning restore CA1031
        {
            log.LogError(failed, "The queue could not be looked after");
        }

        return since;
    }
}
