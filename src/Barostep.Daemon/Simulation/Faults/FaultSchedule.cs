namespace Barostep.Daemon.Simulation.Faults;

/// <summary>Begins and ends the faults of one list in their world.</summary>
internal sealed class FaultSchedule
{
    /// <summary>A trip is under way for so long after it was asked for.</summary>
    private const long TripMicros = 20_000;

    private readonly World _world;
    private readonly Pending[] _faults;

    public FaultSchedule(IReadOnlyList<PlannedFault> faults, World world)
    {
        _world = world;
        _faults = [.. faults.Select(fault => new Pending(fault))];
    }

    /// <summary>What any fault that has begun takes away.</summary>
    public Reach Touched { get; private set; }

    /// <summary>The faults that have begun.</summary>
    public IEnumerable<PlannedFault> Begun => _faults.Where(fault => fault.HasBegun).Select(fault => fault.Planned);

    /// <summary>When the next one begins or ends, as far as that is known.</summary>
    public long NextMicros
    {
        get
        {
            long next = long.MaxValue;
            foreach (Pending fault in _faults)
                next = Math.Min(next, fault.NextMicros);
            return next;
        }
    }

    /// <summary>Whether every fault has begun and ended.</summary>
    public bool AreOver => Array.TrueForAll(_faults, fault => fault.HasEnded);

    /// <summary>Whether those that have not ended last until somebody mends them, or wait for a state that does not come.</summary>
    public bool OnlyLastingRemain => Array.TrueForAll(_faults, fault => fault.HasEnded || fault.NextMicros == long.MaxValue);

    /// <summary>Takes note of the state, which calls for those faults that begin in it.</summary>
    public void Observe(BenchState state)
    {
        foreach (Pending fault in _faults)
        {
            if (fault.Planned.When.State is { } awaited && !fault.IsTimed)
                Await(fault, awaited, state);
        }
    }

    /// <summary>Something outside this list will go wrong.</summary>
    public void Expect(Reach reach) => Touched |= reach;

    public void Advance()
    {
        foreach (Pending fault in _faults)
        {
            if (fault.NextMicros > _world.NowMicros)
                continue;
            if (!fault.HasBegun)
                Begin(fault);
            else
                End(fault);
        }
    }

    /// <summary>Ends everything; what has not begun never does.</summary>
    public void EndAll()
    {
        foreach (Pending fault in _faults)
        {
            if (fault is { HasBegun: true, HasEnded: false })
                End(fault);
            fault.NextMicros = long.MaxValue;
            fault.IsTimed = true;
            fault.HasEnded = true;
        }
    }

    // States that come only after something went wrong are brought about by a person first.
    private void Await(Pending fault, BenchState awaited, BenchState state)
    {
        bool provoked = awaited is BenchState.Tripped or BenchState.Stopping;
        if (provoked && state == BenchState.Settle && !fault.IsProvoked)
        {
            fault.IsProvoked = true;
            Touched |= Reach.PersonActs;
            _world.AskVent(atOnce: awaited == BenchState.Tripped);
        }

        if (state != awaited || (fault.Planned.When.Moment == FaultMoment.Crossing && !IsCrossing()))
            return;
        fault.IsTimed = true;
        fault.NextMicros = _world.NowMicros + DelayOf(fault.Planned.When.Moment);
        if (fault.Planned.When.Moment != FaultMoment.Tripping || awaited == BenchState.Tripped)
            return;
        Touched |= Reach.PersonActs;
        _world.AskVent(atOnce: true);
    }

    private bool IsCrossing()
    {
        double target = _world.Sequencer.Wanted.Target.Pascals;
        double perPoll = _world.Setup.Procedure.RateOfSpanPerSecond * _world.Setup.Device.SpanPascals * _world.Setup.Bench.PeriodMicros * 1e-6;
        return Math.Abs(_world.Truth.PressurePa - target) <= perPoll;
    }

    private static long DelayOf(FaultMoment moment) => moment switch
    {
        FaultMoment.Entry => 0,
        FaultMoment.Sent => 8_000,
        FaultMoment.Acknowledged => 45_000,
        FaultMoment.Middle => 700_000,
        FaultMoment.Crossing => 0,
        FaultMoment.Tripping => TripMicros,
        _ => throw new ArgumentOutOfRangeException(nameof(moment)),
    };

    private void Begin(Pending fault)
    {
        fault.HasBegun = true;
        Touched |= fault.Planned.Kind.Reach;
        fault.NextMicros = fault.Planned.DurationMicros == PlannedFault.Forever
            ? long.MaxValue
            : _world.NowMicros + fault.Planned.DurationMicros;
        _world.FaultBegan(fault.Planned);
        fault.Planned.Kind.Begin(_world, fault.Planned.Kind.Sizes[fault.Planned.Size]);
    }

    private void End(Pending fault)
    {
        fault.HasEnded = true;
        fault.NextMicros = long.MaxValue;
        fault.Planned.Kind.End(_world);
    }

    private sealed class Pending(PlannedFault planned)
    {
        public PlannedFault Planned { get; } = planned;

        /// <summary>When it begins, or ends once it has begun.</summary>
        public long NextMicros { get; set; } = planned.When.State is null ? planned.When.AtMicros : long.MaxValue;

        /// <summary>Whether the time of its beginning is known.</summary>
        public bool IsTimed { get; set; } = planned.When.State is null;

        public bool IsProvoked { get; set; }

        public bool HasBegun { get; set; }

        public bool HasEnded { get; set; }
    }
}
