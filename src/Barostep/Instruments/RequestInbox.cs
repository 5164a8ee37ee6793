namespace Barostep.Instruments;

/// <summary>Something asked for once.</summary>
internal readonly record struct Request(Capability Capability, decimal Value, long Ticket);

/// <summary>Requests on their way from the control loop to the driver. Any thread; no callback runs under its lock.</summary>
internal sealed class RequestInbox
{
    /// <summary>Most commands that may wait; a control loop that sends more than this before one is answered is stuck.</summary>
    private const int Capacity = 64;

    private readonly Lock gate = new();
    private readonly Queue<Request> urgent = new(Capacity);
    private readonly Queue<Request> normal = new(Capacity);
    private readonly Queue<Request> refused = new(Capacity);
    private readonly long[] periods = new long[Capabilities.Count];
    private long leaseUntil;

    public void Add(Request request, CommandUrgency urgency)
    {
        lock (gate)
        {
            if (urgency == CommandUrgency.Urgent)
                RefuseRaising();
            Queue<Request> queue = urgency == CommandUrgency.Urgent ? urgent : normal;
            (queue.Count < Capacity ? queue : refused).Enqueue(request);
        }
    }

    /// <summary>Refuses the waiting commands that can raise pressure.</summary>
    public void Overtake()
    {
        lock (gate)
            RefuseRaising();
    }

    public bool TryTakeUrgent(out Request request)
    {
        lock (gate)
            return urgent.TryDequeue(out request);
    }

    public bool TryTakeNormal(out Request request)
    {
        lock (gate)
            return normal.TryDequeue(out request);
    }

    public bool TryTakeRefused(out Request request)
    {
        lock (gate)
            return refused.TryDequeue(out request);
    }

    public void SetPeriod(Capability capability, long periodMicros)
    {
        lock (gate)
            periods[(int)capability] = periodMicros;
    }

    public void CopyPeriods(Span<long> destination)
    {
        lock (gate)
            periods.CopyTo(destination);
    }

    public void SetLease(long untilMicros) => Volatile.Write(ref leaseUntil, untilMicros);

    /// <summary>When the lease runs out; 0 where none was ever given.</summary>
    public long LeaseUntilMicros => Volatile.Read(ref leaseUntil);

    private void RefuseRaising()
    {
        for (int waiting = normal.Count; waiting > 0; waiting--)
        {
            Request request = normal.Dequeue();
            (request.Capability.CanRaisePressure() ? refused : normal).Enqueue(request);
        }
    }
}
