using Barostep.Lines.GuardLine;
using Barostep.Safety;

namespace Barostep.Guard;

/// <summary>Something that a client asked for and is told the outcome of.</summary>
/// <param name="Reply">Takes the outcome.</param>
internal abstract record Errand(Action<ReplyRecord> Reply);

internal sealed record PersonErrand(PersonRecord Person, Action<ReplyRecord> Reply) : Errand(Reply);

internal sealed record AlarmErrand(AlarmRecord Alarm, Action<ReplyRecord> Reply) : Errand(Reply);

internal sealed record BeginErrand(PreparedRun Run, Action<ReplyRecord> Reply) : Errand(Reply);

internal sealed record EndErrand(EndRunRecord Run, Action<ReplyRecord> Reply) : Errand(Reply);

/// <summary>Where clients leave what they want, and the cycle takes it from. Any thread; nothing here waits.</summary>
internal sealed class GuardDesk
{
    /// <summary>Who asks for more before one is answered is not asking as people do.</summary>
    private const int MostErrands = 16;

    private readonly Lock _gate = new();
    private readonly Queue<Errand> _errands = new(MostErrands);
    private Intent _intent;
    private bool _vent;
    private bool _dump;
    private bool _sequencerIsHere;
    private bool _sequencerLeft;

    /// <summary>Makes a client the sequencer; false while there is one.</summary>
    public bool TryBecomeSequencer()
    {
        lock (_gate)
        {
            bool free = !_sequencerIsHere;
            _sequencerIsHere = true;
            return free;
        }
    }

    /// <summary>The sequencer has gone. What it wanted is void from here on.</summary>
    public void LeaveAsSequencer()
    {
        lock (_gate)
        {
            _sequencerIsHere = false;
            _sequencerLeft = true;
            _intent = default;
        }
    }

    public void Leave(in Intent wanted)
    {
        lock (_gate)
            _intent = wanted;
    }

    /// <summary>Leaves an errand; false where too many wait.</summary>
    public bool TryLeave(Errand errand)
    {
        lock (_gate)
        {
            if (_errands.Count == MostErrands)
                return false;
            _errands.Enqueue(errand);
            return true;
        }
    }

    /// <summary>Asks for a vent. Never refused, and never behind anything else.</summary>
    public void Vent(bool atOnce)
    {
        lock (_gate)
        {
            _vent |= !atOnce;
            _dump |= atOnce;
        }
    }

    /// <summary>Takes what the sequencer wants now.</summary>
    /// <param name="left">Whether a sequencer went since the last time.</param>
    public Intent TakeIntent(out bool left)
    {
        lock (_gate)
        {
            left = _sequencerLeft;
            _sequencerLeft = false;
            return _intent;
        }
    }

    /// <summary>Takes the request for a vent, the harder one first.</summary>
    public PersonRequest TakeVent()
    {
        lock (_gate)
        {
            PersonRequest request = _dump ? PersonRequest.Dump : _vent ? PersonRequest.Stop : PersonRequest.None;
            (_dump, _vent) = (false, false);
            return request;
        }
    }

    public bool TryTake(out Errand? errand)
    {
        lock (_gate)
            return _errands.TryDequeue(out errand);
    }
}
