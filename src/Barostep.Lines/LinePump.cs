using System.Net.Sockets;
using Barostep.Configuration;
using Barostep.Instruments;
using Polly;
using Polly.Retry;

namespace Barostep.Lines;

/// <summary>Keeps one line open and the driver of its instrument running, or those of all instruments on it, on a thread of its own.</summary>
/// <remarks>One port's trouble delays no other: each has its pump. What to say is the driver's; this only waits and carries.</remarks>
public sealed class LinePump : IDisposable
{
    /// <summary>First pause after a failed opening; doubles up to <see cref="LongestBackOff"/>.</summary>
    private static readonly TimeSpan FirstBackOff = TimeSpan.FromMilliseconds(100);

    /// <summary>A replugged adapter is found within this.</summary>
    private static readonly TimeSpan LongestBackOff = TimeSpan.FromSeconds(2);

    private readonly LineTurns _turns;
    private readonly FittedInstrument _fitted;
    private readonly LineAddress _address;
    private readonly TimeProvider _time;
    private readonly Action _onReports;
    private readonly AutoResetEvent _wake = new(false);
    private readonly CancellationTokenSource _stopping = new();
    private readonly ResiliencePipeline<StreamLine> _opening;
    private readonly Thread _thread;
    private long _lost;

    /// <param name="drivers">The instruments' drivers, mostly one; from now on only this pump advances them.</param>
    /// <param name="address">Where its line leads.</param>
    /// <param name="time">Its time stamps must be the machine's monotonic clock, as <see cref="TimeProvider.System"/>'s are.</param>
    /// <param name="onReports">Called on the pump's thread while finished exchanges wait to be taken; must not wait.</param>
    public LinePump(IReadOnlyList<InstrumentDriver> drivers, LineAddress address, TimeProvider time, Action onReports)
    {
        _turns = new LineTurns(drivers);
        _fitted = drivers[0].Fitted;
        _address = address;
        _time = time;
        _onReports = onReports;
        _opening = new ResiliencePipelineBuilder<StreamLine> { TimeProvider = time }.AddRetry(BackOff()).Build();
        _thread = new Thread(Run) { IsBackground = true, Name = $"line {_fitted.Port}" };
    }

    /// <summary>Why the line could not be opened or was lost last, for people; empty while it is open.</summary>
    public string Trouble => _turns.Drivers[0].LineTrouble;

    /// <summary>How often an open line was lost.</summary>
    public long Losses => Volatile.Read(ref _lost);

    /// <summary>Begins to open the line and to work. Call once.</summary>
    public void Start()
    {
        foreach (InstrumentDriver driver in _turns.Drivers)
            driver.Requested += Wake;
        _thread.Start();
    }

    /// <summary>Renews the lease: unless called again before the time given, the driver vents the source by itself.</summary>
    public void Renew(long untilMicros)
    {
        foreach (InstrumentDriver driver in _turns.Drivers)
            driver.VentIfNotRenewed(untilMicros);
    }

    /// <summary>Stops and closes the line; waits for the pump's thread. Sends nothing: vent before.</summary>
    public void Dispose()
    {
        if (_stopping.IsCancellationRequested)
            return;
        _stopping.Cancel();
        Wake();
        foreach (InstrumentDriver driver in _turns.Drivers)
            driver.Requested -= Wake;
        if (_thread.IsAlive)
            _thread.Join();
    }

    private void Wake() => _wake.Set();

    private void Run()
    {
        while (!_stopping.IsCancellationRequested)
        {
            Task<StreamLine> coming = OpenAsync();
            AdvanceUntil(coming);
            if (coming.IsCompletedSuccessfully)
                Serve(coming.Result);
            else if (coming.IsCompleted)
                Tell(Explain(coming.Exception?.InnerException) ?? Trouble);
            else
                _ = coming.ContinueWith(late => late.Result.Dispose(), CancellationToken.None, TaskContinuationOptions.OnlyOnRanToCompletion, TaskScheduler.Default);
        }
    }

    private void Serve(StreamLine line)
    {
        Tell(string.Empty);
        while (line.IsOpen && !_stopping.IsCancellationRequested)
            AdvanceAndWait(line);
        if (!line.IsOpen)
        {
            Tell(Explain(line.Fault) ?? string.Empty);
            Interlocked.Increment(ref _lost);
        }

        line.Dispose();
        AdvanceUntil(line.Disposal);

        // Whoever stopped us may open the port next; the disposal has a deadline of its own.
        if (_stopping.IsCancellationRequested)
            line.Disposal.Wait(CancellationToken.None);
    }

    /// <summary>Tells the driver that there is no line, and goes on answering it until the task has ended.</summary>
    private void AdvanceUntil(Task task)
    {
        _ = task.ContinueWith(_ => Wake(), CancellationToken.None, TaskContinuationOptions.ExecuteSynchronously, TaskScheduler.Default);
        do
            AdvanceAndWait(ClosedLine.Instance);
        while (!task.IsCompleted && !_stopping.IsCancellationRequested);
    }

    private void TellReports()
    {
        foreach (InstrumentDriver driver in _turns.Drivers)
        {
            if (driver.HasReports)
            {
                _onReports();
                return;
            }
        }
    }

    private void Tell(string trouble)
    {
        foreach (InstrumentDriver driver in _turns.Drivers)
            driver.LineTrouble = trouble;
    }

    private void AdvanceAndWait(IByteLine line)
    {
        long next = _turns.Advance(_time.NowMicros(), line);
        TellReports();
        long micros = next == long.MaxValue ? long.MaxValue : next - _time.NowMicros();
        if (micros > 0 && !_stopping.IsCancellationRequested)
            _wake.WaitOne((int)Math.Min((micros + 999) / 1000, 1000));
    }

    private async Task<StreamLine> OpenAsync() => await _opening.ExecuteAsync(OpenOnceAsync, _stopping.Token).ConfigureAwait(false);

    private async ValueTask<StreamLine> OpenOnceAsync(CancellationToken cancel)
    {
        // Opening a port whose driver is stuck can block; it must not hold up the answers to commands meanwhile.
        await Task.CompletedTask.ConfigureAwait(ConfigureAwaitOptions.ForceYielding);
        return await _address.OpenAsync(_fitted, Wake, cancel).ConfigureAwait(false);
    }

    private string? Explain(Exception? e) => e switch
    {
        null => null,
        // A missing port is reported as a denied one.
        UnauthorizedAccessException or PortHeldException => PortTrouble.Explain(_address.Path.Length > 0 ? _address.Path : _fitted.Port, e),
        _ => $"{_fitted.Port}: {e.Message}",
    };

    private RetryStrategyOptions<StreamLine> BackOff() => new()
    {
        MaxRetryAttempts = int.MaxValue,
        BackoffType = DelayBackoffType.Exponential,
        UseJitter = false,
        Delay = FirstBackOff,
        MaxDelay = LongestBackOff,
        ShouldHandle = new PredicateBuilder<StreamLine>()
            .Handle<IOException>().Handle<UnauthorizedAccessException>().Handle<SocketException>().Handle<ArgumentException>(),
        OnRetry = attempt =>
        {
            Tell(Explain(attempt.Outcome.Exception) ?? string.Empty);
            return ValueTask.CompletedTask;
        },
    };
}
