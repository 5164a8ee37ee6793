using Barostep.Control;
using Barostep.Lines;
using Barostep.Safety;

namespace Barostep.Guard;

/// <summary>Tells the service manager that the guard lives.</summary>
/// <remarks>Called from the end of a good cycle only: a timer would go on while the guard is dead.</remarks>
internal sealed class ServiceManager(string? address) : IDisposable
{
    /// <summary>A quarter of the two seconds after which the manager loses patience (SR-37).</summary>
    private const long WatchdogEveryMicros = 500_000;

    private static readonly CauseSet NotFresh =
        CauseSet.Of(Cause.ReferenceLate).With(Cause.ReferenceStale).With(Cause.TimeFault).With(Cause.InternalFault);

    private readonly NotifySocket _manager = new(address);
    private bool _readyTold;
    private long _toldMicros = long.MinValue / 2;

    /// <summary>A cycle has ended. Only a good one is told: one whose reading is fresh, or whose bench is safe or tripped.</summary>
    public void AfterCycle(in BenchSnapshot bench, long nowMicros)
    {
        bool isGood = bench.Phase is GuardPhase.Safe or GuardPhase.Tripped
            || (bench.Reference.IsGood && (bench.Causes & NotFresh).IsEmpty);
        if (!isGood || !_manager.IsOpen || nowMicros - _toldMicros < WatchdogEveryMicros)
            return;
        _toldMicros = nowMicros;
        if (!_readyTold)
            _manager.Tell(NotifySocket.Ready);
        _readyTold = true;
        _manager.Tell(NotifySocket.Watchdog);
    }

    /// <summary>The guard has begun to stop.</summary>
    public void Stop() => _manager.Tell(NotifySocket.Stopping);

    public void Dispose() => _manager.Dispose();
}
