using Barostep.Control;
using Barostep.Guard;
using Barostep.Lines.GuardLine;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Daemon.Simulation;

/// <summary>
/// The people around the bench: one starts the run; when it has ended and the faults are over one comes, mends what is
/// broken, starts what is not running, acknowledges, and runs once more to see that the bench works.
/// </summary>
internal sealed class People(World world)
{
    /// <summary>Who may raise a ceiling, and acknowledge what was acknowledged often.</summary>
    public static readonly IReadOnlyCollection<string> InTheRoleSafety = [SafetyEngineer];

    private const string SafetyEngineer = "safety engineer";

    private const string Technician = "technician";

    private const long LookEveryMicros = 250_000;

    /// <summary>Time that the run under test may take before somebody comes to look.</summary>
    private const long PatienceMicros = 120_000_000;

    /// <summary>After the end of the run somebody comes so much later.</summary>
    private const long ComesAfterMicros = 2_000_000;

    private long _nextMicros = 100_000;
    private long _endedMicros = long.MaxValue;
    private uint _errands;

    private Stage _stage;
    private long _stormUntilMicros;

    private enum Stage
    {
        Starting,
        Running,
        Mending,
        RunningAgain,
        Done,
    }

    public bool AreDone => _stage == Stage.Done;

    public long NextMicros => _nextMicros;

    /// <summary>When everything was mended; <see cref="long.MaxValue"/> before.</summary>
    public long MendedMicros { get; private set; } = long.MaxValue;

    /// <summary>Trips that were acknowledged, and accepted as such.</summary>
    public int Acknowledged { get; private set; }

    /// <summary>Whether the last run, after everything was mended, completed; null before its end.</summary>
    public bool? LastRunCompleted { get; private set; }

    /// <summary>What the last run says of its end.</summary>
    public string LastReason { get; private set; } = string.Empty;

    public void Advance()
    {
        if (world.NowMicros < _nextMicros)
            return;
        _nextMicros = world.NowMicros + LookEveryMicros;
        Storm();
        switch (_stage)
        {
            case Stage.Starting:
                world.Sequencer.Ask(world.Setup.Procedure);
                if (world.Sequencer.IsBusy)
                    _stage = Stage.Running;
                GiveUpWaiting();
                break;
            case Stage.Running:
                GiveUpWaiting();
                break;
            case Stage.Mending:
                TryAgain();
                break;
            case Stage.RunningAgain:
            case Stage.Done:
                break;
            default:
                throw new InvalidOperationException($"stage {_stage}");
        }
    }

    /// <summary>A run has ended.</summary>
    public void RunEnded(RunRecord record)
    {
        if (_stage == Stage.RunningAgain)
        {
            LastRunCompleted = record.Outcome == RunOutcome.Completed;
            LastReason = $"{record.Outcome}: {record.OutcomeReason}";
            _stage = Stage.Done;
        }
        else
        {
            _endedMicros = Math.Min(_endedMicros, world.NowMicros);
        }
    }

    /// <summary>Asks the guard for something in a person's name.</summary>
    public void Ask(PersonRequestKind kind, uint trip, Pressure ceiling) => Ask(kind, trip, ceiling, Technician);

    private void Ask(PersonRequestKind kind, uint trip, Pressure ceiling, string who)
    {
        if (!world.Guard.IsUp || !world.Seams.Hears(kind))
            return;
        var asked = new PersonRecord(++_errands, kind, trip, ceiling, who, "looked at the bench");
        world.Guard.Desk.TryLeave(new PersonErrand(asked, reply => Answered(asked, reply)));
    }

    /// <summary>A second client wants a run of its own while there is one.</summary>
    public void AskForSecondRun()
    {
        if (!world.Guard.IsUp)
            return;
        bool hasRun = world.Sequencer.Phase != Procedures.RunPhase.Idle;
        var order = new BeginRunRecord(++_errands, "second run", world.Setup.Device.Name, "short", "somebody else", string.Empty, true);
        world.Guard.Desk.TryLeave(new BeginErrand(new PreparedRun(order, world.Setup.Limits, string.Empty), reply => SecondRunBegan |= reply.Accepted && hasRun));
    }

    /// <summary>Whether the guard took a second run while one was going on.</summary>
    public bool SecondRunBegan { get; private set; }

    /// <summary>Somebody, or some script, acknowledges again and again, each time another trip.</summary>
    public void StormUntil(long micros) => _stormUntilMicros = micros;

    private void Storm()
    {
        if (world.NowMicros >= _stormUntilMicros)
            return;
        for (uint trip = 0; trip < 3; trip++)
            Ask(PersonRequestKind.Acknowledge, trip, Pressure.Vacuum);
    }

    private void Answered(in PersonRecord asked, in ReplyRecord reply)
    {
        if (asked.Kind == PersonRequestKind.Acknowledge && reply.Accepted)
            Acknowledged++;
    }

    private void GiveUpWaiting()
    {
        bool runIsOver = world.NowMicros - ComesAfterMicros >= _endedMicros || world.NowMicros >= PatienceMicros;
        if (!runIsOver || (!world.Faults.AreOver && world.NowMicros < PatienceMicros && !world.Faults.OnlyLastingRemain))
            return;
        Mend();
    }

    private void Mend()
    {
        _stage = Stage.Mending;
        world.Faults.EndAll();
        world.Inject("clear");
        // A person who mends an instrument leaves it as it was: "clear" takes nobody's hand off a panel.
        world.Inject("reference unit bar gauge");
        world.Inject("controller unit bar gauge");
        world.Disk.Mend();
        world.FailingWrite = 0;
        world.Guard.Resume();
        world.Sequencer.Resume();
        if (world.Sequencer.IsUp)
            world.Sequencer.Kill();
        // One that has only just started is left alone: it has not had a cycle yet. One whose journal failed never goes on with it.
        if (world.Guard.IsUp && (world.Guard.Last.Tick > 0 || world.Guard.JournalFailed))
            world.Guard.Stop();
        if (!world.Guard.IsUp)
            world.Guard.Start();
        world.Sequencer.Start();
        MendedMicros = world.NowMicros;
    }

    private void TryAgain()
    {
        BenchSnapshot told = world.Guard.Last;
        if (told is { TripNumber: > 0, Depressurised: true } && told.FirstCause != Cause.None)
            Ask(PersonRequestKind.Acknowledge, told.TripNumber, Pressure.Vacuum, SafetyEngineer);
        if (told.Phase != GuardPhase.Safe)
            return;
        if (told.EffectiveCeiling < world.Setup.BareLimits.EffectiveCeiling)
        {
            Ask(PersonRequestKind.RaiseCeiling, 0, world.Setup.BareLimits.EffectiveCeiling, SafetyEngineer);
            return;
        }

        world.Sequencer.Ask(world.Setup.LastProcedure);
        if (world.Sequencer.IsBusy)
            _stage = Stage.RunningAgain;
    }
}
