namespace Barostep.Instruments;

/// <summary>Finished exchanges on their way to the control loop, oldest first. Any thread.</summary>
internal sealed class ReportOutbox
{
    /// <summary>Seconds of back-to-back polling on a fast line: who is later than that has no use for the oldest.</summary>
    private const int Capacity = 256;

    private readonly Lock gate = new();
    private readonly ExchangeReport[] ring = new ExchangeReport[Capacity];
    private int oldest;
    private int count;
    private long dropped;

    public long Dropped => Volatile.Read(ref dropped);

    /// <summary>Whether something waits to be taken.</summary>
    public bool Any => Volatile.Read(ref count) > 0;

    public void Add(in ExchangeReport report)
    {
        lock (gate)
        {
            ring[(oldest + count) % Capacity] = report;
            if (count < Capacity)
            {
                count++;
                return;
            }

            oldest = (oldest + 1) % Capacity;
            dropped++;
        }
    }

    public bool TryTake(out ExchangeReport report)
    {
        lock (gate)
        {
            report = ring[oldest];
            if (count == 0)
                return false;
            oldest = (oldest + 1) % Capacity;
            count--;
            return true;
        }
    }
}
