using Barostep.Control;
using Barostep.Daemon.Guards;
using Barostep.Daemon.Live;
using Barostep.Lines;
using Barostep.Lines.GuardLine;
using Barostep.Safety;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;

namespace Barostep.Daemon.Hosting;

/// <summary>Keeps one bench guarded while the daemon runs: finds its guard or starts one, and looks after what becomes of it.</summary>
internal sealed class BenchService(
    BenchBoard board,
    GuardOrder order,
    OperatorLifetime signals,
    TimeProvider time,
    ILogger<BenchService> log) : BackgroundService
{
    private static readonly TimeSpan RunEndsUnheard = TimeSpan.FromMilliseconds(500);

    private readonly RestartLimit _restarts = new();
    private readonly AutoResetEvent _news = new(false);
    private CauseSet _shown;
    private GuardPhase _phase;
    private string? _lineFault;

    public override void Dispose()
    {
        _news.Dispose();
        base.Dispose();
    }

    protected override Task ExecuteAsync(CancellationToken stoppingToken) =>
        Task.Factory.StartNew(Run, CancellationToken.None, TaskCreationOptions.LongRunning, TaskScheduler.Default);

    private void Run()
    {
        using CancellationTokenRegistration stop = signals.Stop.Register(() => _news.Set());
        using CancellationTokenRegistration dump = signals.Dump.Register(() => _news.Set());
        while (!signals.Stop.IsCancellationRequested)
        {
            if (!TryWatch() && !signals.Stop.IsCancellationRequested)
            {
                bool vented = (order with { Tell = line => log.LogWarning("{Line}", line) }).Vent();
                log.LogError(
                    "Bench {Bench}: the guard has ended; the bench was vented without it, {Confirmed}",
                    board.Bench.Name,
                    vented ? "confirmed" : "NOT confirmed");
            }
        }
    }

    /// <summary>Watches one guard until it ends or the daemon does; false where it ended by itself.</summary>
    private bool TryWatch()
    {
        try
        {
            string path = GuardSocket.PathOf(order.State, order.Bench);
            var hello = new HelloRecord(ClientRole.Watcher, order.Bench);
            using GuardClient? found = GuardClient.TryConnect(path, hello, () => _news.Set());
            if (found is not null)
                return Watch(found);
            if (!_restarts.TryStart(time.NowMicros()))
                return StayDown();
            using GuardChild child = GuardChild.Start(order with { Tell = line => log.LogInformation("{Line}", line) });
            log.LogInformation("Bench {Bench}: guard started as process {Process}", board.Bench.Name, child.ProcessId);
            using GuardClient? own = GuardClient.TryConnect(path, hello, () => _news.Set());
            using CancellationTokenRegistration hard = signals.Dump.Register(() => own?.Send(new VentRecord(AtOnce: true).Write));
            bool stopped = own is not null && Watch(own);
            if (stopped)
                log.LogInformation("Bench {Bench}: stopped, vent {Confirmed}", board.Bench.Name, child.End() ? "confirmed" : "NOT confirmed");
            return stopped;
        }
        catch (RefusedException refused)
        {
            log.LogError("Bench {Bench}: {Reason}", board.Bench.Name, refused.Message);
            return false;
        }
    }

    /// <summary>Waits for the daemon's own end: nobody starts this guard again before.</summary>
    private bool StayDown()
    {
        log.LogError("Bench {Bench}: its guard was started three times in ten minutes and stays down; a dump valve is open", board.Bench.Name);
        signals.Stop.WaitHandle.WaitOne();
        return true;
    }

    private bool Watch(GuardClient guard)
    {
        board.GuardCame(guard);
        try
        {
            while (guard.IsConnected && !(signals.Stop.IsCancellationRequested && board.Run is null or { IsOver: true }))
            {
                // Not for ever: the run can end without another word from a guard that hangs.
                _news.WaitOne(RunEndsUnheard);
                if (guard.Snapshot is not { } told)
                    continue;
                board.Tell(told);
                Show(told.Bench);
            }
        }
        finally
        {
            board.GuardWent();
        }

        return signals.Stop.IsCancellationRequested;
    }

    private void Show(in BenchSnapshot snapshot)
    {
        if (snapshot.LineFault != _lineFault)
        {
            _lineFault = snapshot.LineFault;
            if (_lineFault is not null)
                log.LogWarning("Bench {Bench}: {Fault}", board.Bench.Name, _lineFault);
        }

        if (snapshot.Causes == _shown && snapshot.Phase == _phase)
            return;
        (_shown, _phase) = (snapshot.Causes, snapshot.Phase);
        log.LogInformation("Bench {Bench}: {Phase}, verdict {Verdict}, causes {Causes}", board.Bench.Name, _phase, snapshot.Verdict, _shown);
    }
}
