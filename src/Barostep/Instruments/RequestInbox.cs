namespace Barostep.Instruments;

/// <summary>Something asked for once.</summary>
internal readonly record struct Request(Capability Capability, decimal Value, long Ticket);

/// <summary>Requests on their way from the control loop to the driver. Any thread; no callback runs under its lock.</summary>
internal sealed class RequestInbox
{
    /// <summary>Most commands that may wait; a control loop that sends more than this before one is answered is stuck.</summary>
    private const int Capacity = 64;

    private readonly Lock _gate = new();
    private readonly Queue<Request> _urgent = new(Capacity);
    private readonly Queue<Request> _normal = new(Capacity);
    private readonly Queue<Request> _refused = new(Capacity);
    private readonly long[] _periods = new long[Capabilities.Count];
    private long _leaseUntil;
    private int _periodsVersion;

    public void Add(Request request, CommandUrgency urgency)
    {
        lock (_gate)
        {
            if (urgency == CommandUrgency.Urgent)
                RefuseRaising();
            Queue<Request> queue = urgency == CommandUrgency.Urgent ? _urgent : _normal;
            (queue.Count < Capacity ? queue : _refused).Enqueue(request);
        }
    }

    /// <summary>Refuses the waiting commands that can raise pressure.</summary>
    public void Overtake()
    {
        lock (_gate)
            RefuseRaising();
    }

    /// <summary>Whether a request waits to be sent.</summary>
    public bool AnyWaiting
    {
        get
        {
            lock (_gate)
                return _urgent.Count + _normal.Count > 0;
        }
    }

    public bool TryTakeUrgent(out Request request)
    {
        lock (_gate)
            return _urgent.TryDequeue(out request);
    }

    public bool TryTakeNormal(out Request request)
    {
        lock (_gate)
            return _normal.TryDequeue(out request);
    }

    public bool TryTakeRefused(out Request request)
    {
        lock (_gate)
            return _refused.TryDequeue(out request);
    }

    public void SetPeriod(Capability capability, long periodMicros)
    {
        lock (_gate)
        {
            _periods[(int)capability] = periodMicros;
            _periodsVersion++;
        }
    }

    /// <summary>Changes with every period that is set.</summary>
    public int PeriodsVersion => Volatile.Read(ref _periodsVersion);

    public void CopyPeriods(Span<long> destination)
    {
        lock (_gate)
            _periods.CopyTo(destination);
    }

    public void SetLease(long untilMicros) => Volatile.Write(ref _leaseUntil, untilMicros);

    /// <summary>When the lease runs out; 0 where none was ever given.</summary>
    public long LeaseUntilMicros => Volatile.Read(ref _leaseUntil);

    private void RefuseRaising()
    {
        for (int waiting = _normal.Count; waiting > 0; waiting--)
        {
            Request request = _normal.Dequeue();
            (request.Capability.CanRaisePressure() ? _refused : _normal).Enqueue(request);
        }
    }
}
