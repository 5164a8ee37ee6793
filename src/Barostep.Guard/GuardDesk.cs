using Barostep.Lines.GuardLine;
using Barostep.Safety;

namespace Barostep.Guard;

/// <summary>Something that a client asked for and is told the outcome of.</summary>
/// <param name="Reply">Takes the outcome.</param>
internal abstract record Errand(Action<ReplyRecord> Reply);

internal sealed record PersonErrand(PersonRecord Person, Action<ReplyRecord> Reply) : Errand(Reply);

internal sealed record BeginErrand(PreparedRun Run, Action<ReplyRecord> Reply) : Errand(Reply);

internal sealed record EndErrand(EndRunRecord Run, Action<ReplyRecord> Reply) : Errand(Reply);

/// <summary>Where clients leave what they want, and the cycle takes it from. Any thread; nothing here waits.</summary>
internal sealed class GuardDesk
{
    /// <summary>Who asks for more before one is answered is not asking as people do.</summary>
    private const int MostErrands = 16;

    private readonly Lock gate = new();
    private readonly Queue<Errand> errands = new(MostErrands);
    private Intent intent;
    private bool vent;
    private bool dump;
    private bool sequencerIsHere;
    private bool sequencerLeft;

    /// <summary>Makes a client the sequencer; false while there is one.</summary>
    public bool TryBecomeSequencer()
    {
        lock (gate)
        {
            bool free = !sequencerIsHere;
            sequencerIsHere = true;
            return free;
        }
    }

    /// <summary>The sequencer has gone. What it wanted is void from here on.</summary>
    public void LeaveAsSequencer()
    {
        lock (gate)
        {
            sequencerIsHere = false;
            sequencerLeft = true;
            intent = default;
        }
    }

    public void Leave(in Intent wanted)
    {
        lock (gate)
            intent = wanted;
    }

    /// <summary>Leaves an errand; false where too many wait.</summary>
    public bool TryLeave(Errand errand)
    {
        lock (gate)
        {
            if (errands.Count == MostErrands)
                return false;
            errands.Enqueue(errand);
            return true;
        }
    }

    /// <summary>Asks for a vent. Never refused, and never behind anything else.</summary>
    public void Vent(bool atOnce)
    {
        lock (gate)
        {
            vent |= !atOnce;
            dump |= atOnce;
        }
    }

    /// <summary>Takes what the sequencer wants now.</summary>
    /// <param name="left">Whether a sequencer went since the last time.</param>
    public Intent TakeIntent(out bool left)
    {
        lock (gate)
        {
            left = sequencerLeft;
            sequencerLeft = false;
            return intent;
        }
    }

    /// <summary>Takes the request for a vent, the harder one first.</summary>
    public PersonRequest TakeVent()
    {
        lock (gate)
        {
            PersonRequest request = dump ? PersonRequest.Dump : vent ? PersonRequest.Stop : PersonRequest.None;
            (dump, vent) = (false, false);
            return request;
        }
    }

    public bool TryTake(out Errand? errand)
    {
        lock (gate)
            return errands.TryDequeue(out errand);
    }
}
