namespace Barostep.Safety;

/// <summary>Gathers what a report tells while the entries go by.</summary>
internal sealed class JournalSurvey
{
    private readonly List<ReportedLimit> _limits = [];
    private readonly List<ReportedRun> _runs = [];
    private readonly List<ReportedTrip> _trips = [];
    private readonly List<ReportedEvent> _events = [];
    private SafetyLimits? _inForce;
    private JournalEntry? _last;
    private long _entries;
    private long _ticks;
    private long _pressurisedMicros;
    private long? _pressurisedSince;
    private uint _tripNumber;
    private int _cleanStops;
    private int _uncleanStarts;
    private int _gaps;
    private bool _simulated;
    private bool _runIsOpen;

    public void Take(JournalEntry entry)
    {
        _entries++;
        switch (entry.Kind)
        {
            case JournalKind.Tick: TakeTick(entry); break;
            case JournalKind.Open: TakeOpen(entry, (OpenPayload)entry.ReadPayload()); break;
            case JournalKind.Limits: TakeLimits(entry, (LimitsPayload)entry.ReadPayload()); break;
            case JournalKind.State: _tripNumber = ((StatePayload)entry.ReadPayload()).State.TripNumber; break;
            case JournalKind.Ceiling: TakeCeiling(entry, (CeilingPayload)entry.ReadPayload()); break;
            case JournalKind.RunStart: TakeRunStart(entry, (RunStartPayload)entry.ReadPayload()); break;
            case JournalKind.RunEnd: TakeRunEnd((RunEndPayload)entry.ReadPayload()); break;
            case JournalKind.Acknowledge: TakeAcknowledge(entry, (AcknowledgePayload)entry.ReadPayload()); break;
            case JournalKind.Note: TakeNote(entry, (NotePayload)entry.ReadPayload()); break;
            case JournalKind.Gap: TakeGap(entry, (GapPayload)entry.ReadPayload()); break;
            case JournalKind.Stop: TakeStop(entry, (StopPayload)entry.ReadPayload()); break;
            case JournalKind.Rotate: break;
            case JournalKind.Raise: break;
            case JournalKind.Trip: break; // Counted from the cycle that decided it, which cannot be left out.
            default: throw new InvalidOperationException($"{entry.Kind} is no kind of entry.");
        }

        _last = entry;
    }

    public JournalReport Report() => new()
    {
        Limits = _limits,
        Runs = _runs,
        Trips = _trips,
        Events = _events,
        Entries = _entries,
        Ticks = _ticks,
        PressurisedMicros = _pressurisedMicros,
        CleanStops = _cleanStops,
        UncleanStarts = _uncleanStarts,
        Gaps = _gaps,
        Simulated = _simulated,
        EndsCleanly = _last?.Kind is JournalKind.Stop or JournalKind.Rotate,
    };

    private void TakeTick(JournalEntry entry)
    {
        _ticks++;
        Observation seen = entry.ReadObservation();
        RecordedDecision decision = entry.ReadDecision();
        CountPressurised(seen);
        if (_runIsOpen)
            Raise(seen, decision);
        if (decision.TripNumber == _tripNumber)
            return;
        _tripNumber = decision.TripNumber;
        _trips.Add(new ReportedTrip(
            entry.Sequence, entry.Stamp, decision.TripNumber, decision.FirstCause, decision.Causes,
            seen.Reference, seen.SourceSensor, decision.EffectiveCeiling, ""));
    }

    // A cycle without a good reading counts as pressurised: nothing shows that it is not.
    private void CountPressurised(in Observation seen)
    {
        if (_pressurisedSince is { } since && seen.NowMicros > since)
            _pressurisedMicros += seen.NowMicros - since;
        _pressurisedSince = AtAtmosphere(seen) ? null : seen.NowMicros;
    }

    private bool AtAtmosphere(in Observation seen) =>
        _inForce is { } limits
        && (seen.Reference.IsGood || seen.SourceSensor.IsGood)
        && !Strays(seen.Reference, limits)
        && !Strays(seen.SourceSensor, limits);

    private static bool Strays(in SensorReading reading, SafetyLimits limits) =>
        reading.IsGood && (reading.Value - limits.Atmosphere).Magnitude() > limits.SafeBand;

    private void Raise(in Observation seen, in RecordedDecision decision)
    {
        Pressure highest = Pressure.Max(
            seen.Reference.IsGood ? seen.Reference.Value : Pressure.Vacuum,
            seen.SourceSensor.IsGood ? seen.SourceSensor.Value : Pressure.Vacuum);
        if (!seen.Reference.IsGood && !seen.SourceSensor.IsGood)
            return;
        ReportedRun run = _runs[^1];
        PressureDifference margin = decision.EffectiveCeiling - highest;
        _runs[^1] = run with
        {
            Highest = run.Highest is { } top ? Pressure.Max(top, highest) : highest,
            LeastMargin = run.LeastMargin is { } least && least <= margin ? least : margin,
        };
    }

    private void TakeOpen(JournalEntry entry, OpenPayload open)
    {
        _simulated |= open.Simulated;
        if (!open.FreshStart)
            return;
        bool clean = _last is null or { Kind: JournalKind.Stop or JournalKind.Rotate };
        if (!clean)
            _uncleanStarts++;
        _pressurisedSince = null;
        _runIsOpen = false;
        Tell(entry, $"{open.Program} started on {open.Bench}{(clean ? "" : ", after an unclean stop")}");
    }

    private void TakeLimits(JournalEntry entry, LimitsPayload payload)
    {
        _inForce = payload.Limits;
        _limits.Add(new ReportedLimit(
            entry.Sequence, entry.Stamp, payload.Limits.EffectiveCeiling, payload.Limits.EffectiveFloor,
            payload.Limits.CeilingGovernedBy.Source, payload.Who, payload.Why));
    }

    private void TakeCeiling(JournalEntry entry, CeilingPayload payload)
    {
        Pressure floor = _inForce?.EffectiveFloor ?? Pressure.Vacuum;
        _limits.Add(new ReportedLimit(entry.Sequence, entry.Stamp, payload.After, floor, "a person's change", payload.Who, payload.Why));
    }

    private void TakeRunStart(JournalEntry entry, RunStartPayload start)
    {
        _runs.Add(new ReportedRun(start.Run, start.Device, start.Who, entry.Stamp, null, null, ""));
        _runIsOpen = true;
    }

    private void TakeRunEnd(RunEndPayload end)
    {
        _runIsOpen = false;
        int index = _runs.FindLastIndex(run => run.Run == end.Run);
        if (index >= 0)
            _runs[index] = _runs[index] with { Outcome = end.Outcome };
    }

    private void TakeAcknowledge(JournalEntry entry, AcknowledgePayload acknowledge)
    {
        int index = _trips.FindLastIndex(trip => trip.TripNumber == acknowledge.TripNumber);
        if (index >= 0)
            _trips[index] = _trips[index] with { AcknowledgedBy = $"{acknowledge.Who}: {acknowledge.Why}" };
        Tell(entry, $"trip {acknowledge.TripNumber} acknowledged by {acknowledge.Who}: {acknowledge.Why}");
    }

    private void TakeNote(JournalEntry entry, NotePayload note) => Tell(entry, $"{note.Who}: {note.Text}");

    private void TakeGap(JournalEntry entry, GapPayload gap)
    {
        _gaps++;
        Tell(entry, $"gap of {gap.LostTicks} cycles: {gap.Reason}");
    }

    private void TakeStop(JournalEntry entry, StopPayload stop)
    {
        _cleanStops++;
        _pressurisedSince = null;
        Tell(entry, $"stopped: {stop.Reason}; {(stop.VentConfirmed ? "vented" : "venting NOT confirmed")}");
    }

    private void Tell(JournalEntry entry, string text) => _events.Add(new ReportedEvent(entry.Sequence, entry.Stamp, text));
}
