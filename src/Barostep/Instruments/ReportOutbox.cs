namespace Barostep.Instruments;

/// <summary>Finished exchanges on their way to the control loop, oldest first. Any thread.</summary>
internal sealed class ReportOutbox
{
    /// <summary>Seconds of back-to-back polling on a fast line: who is later than that has no use for the oldest.</summary>
    private const int Capacity = 256;

    private readonly Lock _gate = new();
    private readonly ExchangeReport[] _ring = new ExchangeReport[Capacity];
    private int _oldest;
    private int _count;
    private long _dropped;

    public long Dropped => Volatile.Read(ref _dropped);

    /// <summary>Whether something waits to be taken.</summary>
    public bool Any => Volatile.Read(ref _count) > 0;

    public void Add(in ExchangeReport report)
    {
        lock (_gate)
        {
            _ring[(_oldest + _count) % Capacity] = report;
            if (_count < Capacity)
            {
                _count++;
                return;
            }

            _oldest = (_oldest + 1) % Capacity;
            _dropped++;
        }
    }

    public bool TryTake(out ExchangeReport report)
    {
        lock (_gate)
        {
            report = _ring[_oldest];
            if (_count == 0)
                return false;
            _oldest = (_oldest + 1) % Capacity;
            _count--;
            return true;
        }
    }
}
