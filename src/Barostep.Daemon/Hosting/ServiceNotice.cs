using Barostep.Daemon.Api;
using Barostep.Daemon.Live;
using Barostep.Lines;
using Microsoft.Extensions.Hosting;

namespace Barostep.Daemon.Hosting;

/// <summary>
/// Tells the service manager that the daemon is ready, lives, and stops. It is told alive only while frames of every
/// bench are made: a timer of its own would go on while nothing else does.
/// </summary>
internal sealed class ServiceNotice(LiveFeed feed, IHostApplicationLifetime application, TimeProvider time, string? address) : BackgroundService
{
    /// <summary>Five times within the ten seconds of the unit file.</summary>
    private static readonly TimeSpan Every = TimeSpan.FromSeconds(2);

    private readonly NotifySocket _manager = new(address);

    public override void Dispose()
    {
        _manager.Dispose();
        base.Dispose();
    }

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        if (!_manager.IsOpen)
            return;
        using CancellationTokenRegistration started = application.ApplicationStarted.Register(() => _manager.Tell(NotifySocket.Ready));
        using CancellationTokenRegistration stopping = application.ApplicationStopping.Register(() => _manager.Tell(NotifySocket.Stopping));
        using var timer = new PeriodicTimer(Every, time);
        try
        {
            while (await timer.WaitForNextTickAsync(stoppingToken))
            {
                if (Health.Live(feed.Age).All(check => check.Ok))
                    _manager.Tell(NotifySocket.Watchdog);
            }
        }
        catch (OperationCanceledException)
        {
            // The host stops.
        }
    }
}
