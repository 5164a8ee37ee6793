using Barostep.Configuration;
using Barostep.Daemon.Access;
using Barostep.Records;
using Barostep.Unattended;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using Polly;
using Polly.Retry;

namespace Barostep.Daemon.Unattended;

/// <summary>Empties the outbox into one channel. Whatever the other end does, only this waits for it.</summary>
internal sealed class NoticeSender(INoticeChannel channel, RunStore store, TimeProvider time, ILogger<NoticeSender> log) : BackgroundService
{
    private static readonly TimeSpan Every = TimeSpan.FromSeconds(2);
    private static readonly TimeSpan LongestTry = TimeSpan.FromSeconds(15);

    /// <summary>A server that is down for the night is tried a hundred times, not ten thousand.</summary>
    private static readonly TimeSpan LongestPause = TimeSpan.FromMinutes(15);

    /// <summary>Yesterday's news helps nobody, and the records have it.</summary>
    private static readonly TimeSpan Forget = TimeSpan.FromHours(24);

    /// <summary>What is older than this is not even looked at any more.</summary>
    private static readonly TimeSpan Oldest = TimeSpan.FromDays(7);

    private readonly ResiliencePipeline _retries = new ResiliencePipelineBuilder { TimeProvider = time }
        .AddRetry(new RetryStrategyOptions
        {
            ShouldHandle = new PredicateBuilder().Handle<Exception>(static error => error is not OperationCanceledException),
            MaxRetryAttempts = 2,
            Delay = TimeSpan.FromSeconds(1),
            BackoffType = DelayBackoffType.Exponential,
            UseJitter = true,
        })
        .AddTimeout(LongestTry)
        .Build();

    private TimeSpan _pause = TimeSpan.Zero;
    private long _failedAt;

    /// <summary>The channels that barostep.toml names.</summary>
    /// <param name="folder">Configuration folder.</param>
    /// <exception cref="RefusedException">A secret cannot be read.</exception>
    public static IReadOnlyList<INoticeChannel> Channels(NotifySettings settings, string folder, TimeProvider time)
    {
        var channels = new List<INoticeChannel>();
        if (settings.Webhook is { } webhook)
            channels.Add(new WebhookChannel(webhook, SecretFile.Read(SecretFile.PathOf(folder, webhook.SecretFile)), time));
        if (settings.Mail is { } mail)
            channels.Add(new MailChannel(mail, mail.PasswordFile is { } file ? SecretFile.Read(SecretFile.PathOf(folder, file)) : null));
        return channels;
    }

    /// <summary>Tries to deliver everything that waits, in order; stops at the first that cannot be.</summary>
    /// <returns>Whether nothing waits any more.</returns>
    public async Task<bool> SendAsync(CancellationToken cancellation)
    {
        foreach (KeptNotice notice in store.Notices.Undelivered(channel.Name, time.GetUtcNow() - Oldest))
        {
            if (!channel.On.Contains(notice.Notice.Kind))
                continue;
            if (time.GetUtcNow() - notice.Notice.AtUtc > Forget)
            {
                store.Notices.Tried(notice.Id, channel.Name, time.GetUtcNow(), DeliveryOutcome.GivenUp, "it is older than a day");
                continue;
            }

            if (!await TryAsync(notice, cancellation))
                return false;
        }

        return true;
    }

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        await Task.Yield();
        using var timer = new PeriodicTimer(Every, time);
        try
        {
            while (await timer.WaitForNextTickAsync(stoppingToken))
            {
                if (_pause > TimeSpan.Zero && time.GetElapsedTime(_failedAt) < _pause)
                    continue;
                await StepAsync(stoppingToken);
            }
        }
        catch (OperationCanceledException)
        {
            // The daemon stops; what waits is sent by the next one.
        }
    }

    private async Task StepAsync(CancellationToken stopping)
    {
        try
        {
            bool sent = await SendAsync(stopping);
            _pause = sent ? TimeSpan.Zero : TimeSpan.FromSeconds(Math.Clamp(2 * _pause.TotalSeconds, 30, LongestPause.TotalSeconds));
            _failedAt = time.GetTimestamp();
        }
        catch (RunStoreException failed)
        {
            log.LogError("The outbox cannot be read: {Reason}", failed.Message);
        }
    }

    private async Task<bool> TryAsync(KeptNotice notice, CancellationToken cancellation)
    {
        try
        {
            await _retries.ExecuteAsync(async token => await channel.SendAsync(notice, token), cancellation);
            store.Notices.Tried(notice.Id, channel.Name, time.GetUtcNow(), DeliveryOutcome.Delivered, string.Empty);
            return true;
        }
#pragma warning disable CA1031 // Whatever a server or a network does is one thing here: not delivered.
        catch (Exception failed) when (failed is not RunStoreException && !cancellation.IsCancellationRequested)
#pragma warning restore CA1031
        {
            store.Notices.Tried(notice.Id, channel.Name, time.GetUtcNow(), DeliveryOutcome.Failed, failed.Message);
            log.LogWarning("Notice {Id} was not delivered by {Channel} and is tried again: {Reason}", notice.Id, channel.Name, failed.Message);
            return false;
        }
    }
}
