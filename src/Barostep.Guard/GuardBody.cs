using Barostep.Control;
using Barostep.Instruments;
using Barostep.Lines.GuardLine;
using Barostep.Safety;

namespace Barostep.Guard;

/// <summary>Takes one record to everybody who looks on; must not wait.</summary>
internal delegate void TellAll(ReadOnlySpan<byte> record);

/// <summary>One cycle of the guard: take what is wanted, let the guard half decide and act, tell everybody.</summary>
internal sealed class GuardBody
{
    private const long MicrosPerMinute = 60_000_000;

    private readonly GuardHalf _guard;
    private readonly InstrumentDriver? _source;
    private readonly InstrumentDriver _reference;
    private readonly SafetyJournal _journal;
    private readonly SafetyLimits _bare;
    private readonly GuardDesk _desk;
    private readonly TellAll _tell;
    private readonly IReadOnlyCollection<string> _safetyPeople;
    private readonly long _journalFile;
    private readonly byte[] _record = new byte[RecordSizes.Longest];
    private readonly Lateness _lateness = new();
    private BenchSnapshot _last;
    private string _run = string.Empty;
    private bool _limitsAreBare = true;
    private uint _epoch;
    private Intent _intent;
    private uint _people;
    private long _latenessToldMicros;

    /// <param name="guard">The guard half, with the limits of the bare bench.</param>
    /// <param name="source">The pressure source's line; null where a person makes the pressure.</param>
    /// <param name="reference">The reference's line.</param>
    /// <param name="journal">The journal of both.</param>
    /// <param name="journalFile">Number of its file.</param>
    /// <param name="desk">Where clients leave what they want.</param>
    /// <param name="tell">Takes each snapshot.</param>
    /// <param name="safetyPeople">Who has the role safety, by name.</param>
    public GuardBody(
        GuardHalf guard,
        InstrumentDriver? source,
        InstrumentDriver reference,
        SafetyJournal journal,
        long journalFile,
        GuardDesk desk,
        TellAll tell,
        IReadOnlyCollection<string> safetyPeople)
    {
        _guard = guard;
        _source = source;
        _reference = reference;
        _journal = journal;
        _journalFile = journalFile;
        _bare = guard.Limits;
        _desk = desk;
        _tell = tell;
        _safetyPeople = safetyPeople;
    }

    /// <summary>Worst lateness of a cycle so far, µs.</summary>
    public long WorstLatenessMicros => _lateness.WorstMicros;

    /// <summary>One cycle.</summary>
    /// <param name="clock">Now.</param>
    /// <param name="lateMicros">How long after its time it begins.</param>
    public BenchSnapshot Step(in CycleClock clock, long lateMicros)
    {
        bool wasLateOften = _lateness.IsOften;
        _lateness.Take(lateMicros, clock.NowMicros);
        TellLateness(clock);
        if (_lateness.IsOften && !wasLateOften)
            _journal.Write(StampOf(clock), new NotePayload(0, "guard", "warning: more than three cycles within an hour were later than 20 ms"));
        TakeIntent(clock);
        RestoreLimits(clock);
        PersonErrand? errand = null;
        PersonRequest person = _desk.TakeVent();
        if (person.Kind == PersonRequestKind.None)
            person = NextErrand(clock, out errand);
        Pressure ceilingBefore = _last.EffectiveCeiling;
        _last = _guard.Cycle(clock, _intent, person);
        if (errand is not null)
            Answer(errand, ceilingBefore, clock);
        var own = new GuardReport(
            _journalFile, _guard.KeepAlives, _lateness.WorstMicros, _lateness.LateCycles, _lateness.IsOften, _source?.IdentityText ?? string.Empty, _reference.IdentityText);
        _tell(_record.AsSpan(0, new SnapshotRecord(_last, own).Write(_record)));
        return _last;
    }

    /// <summary>Only the run that was begun may ask for anything. Where nobody does, the last wish has lapsed.</summary>
    private void TakeIntent(in CycleClock clock)
    {
        Intent wanted = _desk.TakeIntent(out bool sequencerLeft);
        if (sequencerLeft)
            EndRun("its sequencer left", clock);
        bool counts = _run.Length > 0 && wanted.Epoch == _epoch;
        _intent = counts ? wanted : _intent with { Kind = IntentKind.None, IssuedMicros = 0 };
    }

    private static JournalStamp StampOf(in CycleClock clock) => new(clock.NowMicros, clock.WallMillis);

    private void TellLateness(in CycleClock clock)
    {
        if (_latenessToldMicros == 0)
            _latenessToldMicros = clock.NowMicros;
        if (clock.NowMicros - _latenessToldMicros < MicrosPerMinute)
            return;
        _latenessToldMicros = clock.NowMicros;
        _journal.Write(StampOf(clock), new NotePayload(0, "guard", _lateness.Report()));
    }

    /// <summary>Takes one errand; a person's is shown to the kernel, a run's is dealt with here.</summary>
    private PersonRequest NextErrand(in CycleClock clock, out PersonErrand? person)
    {
        person = null;
        if (!_desk.TryTake(out Errand? errand))
            return PersonRequest.None;
        switch (errand)
        {
            case PersonErrand asked:
                person = asked;
                return Request(asked.Person, clock);
            case AlarmErrand alarm:
                alarm.Reply(Do(alarm.Alarm, clock));
                return PersonRequest.None;
            case BeginErrand begin:
                begin.Reply(Begin(begin.Run, clock));
                return PersonRequest.None;
            case EndErrand end:
                end.Reply(End(end.Run, clock));
                return PersonRequest.None;
            default:
                throw new InvalidOperationException($"{errand} is no errand.");
        }
    }

    // Up in writing: who asks for what, and why, is in the journal before the kernel sees it.
    private PersonRequest Request(in PersonRecord asked, in CycleClock clock)
    {
        uint number = ++_people;
        string what = asked.Kind switch
        {
            PersonRequestKind.Acknowledge => $"asks to acknowledge trip {asked.TripNumber}",
            PersonRequestKind.LowerCeiling or PersonRequestKind.RaiseCeiling => $"asks for a ceiling of {asked.Ceiling}",
            _ => $"asks for {asked.Kind}",
        };
        PersonRole role = RoleOf(asked.Who);
        string inRole = role == PersonRole.Safety ? " in the role safety" : string.Empty;
        _journal.Write(StampOf(clock), new NotePayload(number, asked.Who, $"{what}{inRole}: {asked.Why}"));
        _journal.RequestFlush();
        return new PersonRequest(asked.Kind, asked.TripNumber, asked.Ceiling, number, role);
    }

    private PersonRole RoleOf(string who) => _safetyPeople.Contains(who) ? PersonRole.Safety : PersonRole.Operator;

    private ReplyRecord Do(in AlarmRecord asked, in CycleClock clock)
    {
        string refusal = _guard.Alarms.Do(asked.Action, asked.Cause, asked.Minutes * MicrosPerMinute, clock.NowMicros);
        string outcome = refusal.Length == 0 ? "done" : $"refused, {refusal}";
        string what = asked.Action switch
        {
            AlarmAction.Acknowledge => "has seen every alarm",
            AlarmAction.Shelve => $"shelves alarm {asked.Cause} for {asked.Minutes} minutes",
            AlarmAction.TakeOutOfService => $"takes alarm {asked.Cause} out of service",
            AlarmAction.Return => $"takes alarm {asked.Cause} back",
            _ => throw new ArgumentOutOfRangeException(nameof(asked)),
        };
        _journal.Write(StampOf(clock), new NotePayload(++_people, asked.Who, $"{what} ({outcome}): {asked.Why}"));
        return new ReplyRecord(asked.Number, refusal.Length == 0, 0, refusal, string.Empty);
    }

    private void Answer(PersonErrand errand, Pressure ceilingBefore, in CycleClock clock)
    {
        PersonRecord asked = errand.Person;
        bool accepted = !_last.Causes.Contains(Cause.RequestRefused);
        if (accepted && asked.Kind == PersonRequestKind.Acknowledge)
            _journal.Write(StampOf(clock), new AcknowledgePayload(asked.TripNumber, asked.Who, asked.Why));
        if (accepted && asked.Kind is PersonRequestKind.LowerCeiling or PersonRequestKind.RaiseCeiling)
            _journal.Write(StampOf(clock), new CeilingPayload(ceilingBefore, _last.EffectiveCeiling, asked.Who, asked.Why));
        _journal.RequestFlush();
        errand.Reply(new ReplyRecord(asked.Number, accepted, 0, accepted ? string.Empty : WhyRefused(asked), string.Empty));
    }

    private string WhyRefused(in PersonRecord asked) => asked.Kind switch
    {
        PersonRequestKind.Acknowledge when _guard.State.Latched.IsEmpty => "no trip is latched",
        PersonRequestKind.Acknowledge when asked.TripNumber != _guard.State.TripNumber =>
            $"the latched trip is number {_guard.State.TripNumber}, not {asked.TripNumber}",
        PersonRequestKind.Acknowledge when !_last.Depressurised => "the bench is not verified depressurised",
        PersonRequestKind.Acknowledge when !(_last.Causes & CausePolicy.Acknowledged).IsEmpty => $"what led to the trip has not gone: {_last.Causes}",
        PersonRequestKind.Acknowledge => $"three trips were acknowledged within the last hour; the next one needs the role safety, which {asked.Who} does not have",
        PersonRequestKind.LowerCeiling => $"{asked.Ceiling} does not lie between the atmosphere and the ceiling in force, {_last.EffectiveCeiling}",
        PersonRequestKind.RaiseCeiling when RoleOf(asked.Who) != PersonRole.Safety =>
            $"to raise a ceiling needs the role safety, which {asked.Who} does not have",
        PersonRequestKind.RaiseCeiling =>
            "a ceiling is raised only while the bench is safe and nothing is latched, and never above what its parts and the device stand",
        _ => "the guard does not do that for a person",
    };

    private ReplyRecord Begin(PreparedRun run, in CycleClock clock)
    {
        string refusal = run.Limits is { } limits ? WhyNot(limits) : run.Refusal;
        if (refusal.Length > 0)
            return new ReplyRecord(run.Order.Number, false, 0, refusal, string.Empty);
        string why = $"run {run.Order.Run} with device {run.Order.Device}";
        _guard.ChangeLimits(StampOf(clock), new LimitsPayload(run.Order.Who, why, run.Limits!));
        _limitsAreBare = false;
        _run = run.Order.Run;
        _epoch = _guard.BeginRun(StampOf(clock), new RunStartPayload(_run, run.Order.Device, run.Order.Procedure, run.Order.Who));
        return new ReplyRecord(run.Order.Number, true, _epoch, string.Empty, _journal.Head.Hash);
    }

    private string WhyNot(SafetyLimits limits)
    {
        if (_run.Length > 0)
            return $"run {_run} is going on";
        if (_journal.HasFailed)
            return "the journal has failed: acknowledge the trip, find out why, and start the guard anew";
        if (_last.Phase == GuardPhase.Permitted)
            return "the bench is under pressure";
        return !Raises(limits) || MayRaise() ? string.Empty : "limits are raised only while the bench is safe and nothing is latched";
    }

    private bool Raises(SafetyLimits limits) => limits.EffectiveCeiling > _guard.Limits.EffectiveCeiling
        || limits.EffectiveFloor < _guard.Limits.EffectiveFloor
        || limits.MaxRateMilliPascalsPerSecond > _guard.Limits.MaxRateMilliPascalsPerSecond;

    private bool MayRaise() => _last.Phase == GuardPhase.Safe && _guard.State.Latched.IsEmpty;

    private ReplyRecord End(in EndRunRecord run, in CycleClock clock)
    {
        if (run.Run != _run || _run.Length == 0)
            return new ReplyRecord(run.Number, false, 0, "that run is not going on", string.Empty);
        return new ReplyRecord(run.Number, true, 0, string.Empty, EndRun(run.Outcome, clock));
    }

    private string EndRun(string outcome, in CycleClock clock)
    {
        if (_run.Length == 0)
            return _journal.Head.Hash;
        string ended = _run;
        _run = string.Empty;
        return _guard.EndRun(StampOf(clock), new RunEndPayload(ended, outcome));
    }

    /// <summary>Without a run the bare bench's limits hold again, as soon as they may.</summary>
    private void RestoreLimits(in CycleClock clock)
    {
        if (_limitsAreBare || _run.Length > 0 || !MayRaise())
            return;
        _limitsAreBare = true;
        _guard.ChangeLimits(StampOf(clock), new LimitsPayload("guard", "no run is going on", _bare));
    }
}
