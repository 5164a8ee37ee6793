using Microsoft.Extensions.Hosting;

namespace Barostep.Daemon.Live;

/// <summary>One moment of a bench, ready to be sent to everybody who looks on.</summary>
/// <param name="Live">What changes all the time, as JSON.</param>
/// <param name="Points">The points of the run, as JSON; the same object while they do not change.</param>
internal sealed record LiveFrame(byte[] Live, byte[] Points);

/// <summary>
/// Makes a frame of each bench five times a second, once for all who look on: two hundred of them cost writing, not
/// making, and who is slow misses frames instead of holding anything up.
/// </summary>
internal sealed class LiveFeed(IReadOnlyDictionary<string, BenchBoard> boards, Func<BenchBoard, LiveFrame?, LiveFrame> make, TimeProvider time) : BackgroundService
{
    private static readonly TimeSpan Every = TimeSpan.FromMilliseconds(200);

    private readonly Dictionary<string, LiveFrame> _frames = [];
    private readonly Lock _gate = new();
    private TaskCompletionSource _next = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private long _madeAt;

    /// <summary>Time since the last frames were made: long where the program does not get on.</summary>
    public TimeSpan Age => time.GetElapsedTime(Interlocked.Read(ref _madeAt));

    /// <summary>Waits for the next frame of a bench.</summary>
    public async Task<LiveFrame> NextAsync(string bench, CancellationToken cancellation)
    {
        Task next;
        lock (_gate)
            next = _next.Task;
        await next.WaitAsync(cancellation);
        lock (_gate)
            return _frames[bench];
    }

    /// <summary>The newest frame of a bench; null before the first.</summary>
    public LiveFrame? Newest(string bench)
    {
        lock (_gate)
            return _frames.GetValueOrDefault(bench);
    }

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        using var timer = new PeriodicTimer(Every, time);
        do
        {
            foreach ((string name, BenchBoard board) in boards)
            {
                LiveFrame frame = make(board, Newest(name));
                lock (_gate)
                    _frames[name] = frame;
            }

            Interlocked.Exchange(ref _madeAt, time.GetTimestamp());
            TaskCompletionSource made;
            lock (_gate)
            {
                made = _next;
                _next = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
            }

            made.SetResult();
        }
        while (await WaitAsync(timer, stoppingToken));
    }

    private static async Task<bool> WaitAsync(PeriodicTimer timer, CancellationToken stopping)
    {
        try
        {
            return await timer.WaitForNextTickAsync(stopping);
        }
        catch (OperationCanceledException)
        {
            return false;
        }
    }
}
