using Barostep.Control;
using Barostep.Guard;
using Barostep.Lines;
using Barostep.Lines.GuardLine;
using Barostep.Safety;

namespace Barostep.Daemon.Simulation;

/// <summary>What goes between the two processes, as a run sees it: an intent one way, a snapshot back, a few errands.</summary>
internal sealed class GuardPost(World world) : IGuard
{
    /// <summary>As long as the shipped client waits before it takes a guard for lost.</summary>
    private const long LostAfterMicros = 2_000_000;

    private uint _number;

    /// <summary>The guard's answer to the run that was asked for; null before it.</summary>
    public ReplyRecord? Answer { get; private set; }

    public IReadOnlyDictionary<string, string> Identities { get; } = new Dictionary<string, string>();

    /// <summary>Asks the guard for a run; <see cref="Answer"/> is there after one of its next cycles.</summary>
    public void AskForRun(string run, string procedure)
    {
        Answer = null;
        var order = new BeginRunRecord(++_number, run, world.Setup.Device.Name, procedure, "workshop", string.Empty, true);
        var prepared = new PreparedRun(order, world.Seams.Limits(world.Setup.Limits), string.Empty);
        world.Guard.Desk.TryLeave(new BeginErrand(prepared, reply => Answer = reply));
    }

    /// <summary>Whether the guard has died or hangs, as far as its client can tell.</summary>
    public bool IsLost(long nowMicros) =>
        !world.Guard.IsUp || (world.Guard.Last.NowMicros > 0 && nowMicros - world.Guard.Last.NowMicros > LostAfterMicros);

    public uint BeginRun(JournalStamp stamp, RunStartPayload run) => Answer is { Accepted: true } answer
        ? answer.Epoch
        : throw new RefusedException("the guard did not answer whether the run may begin");

    public BenchSnapshot Cycle(in CycleClock clock, in Intent intent, in PersonRequest person)
    {
        if (person.Kind is PersonRequestKind.Stop or PersonRequestKind.Dump)
            world.AskVent(person.Kind == PersonRequestKind.Dump);
        return world.Guard.Last;
    }

    public string EndRun(JournalStamp stamp, RunEndPayload run)
    {
        world.Guard.Desk.TryLeave(new EndErrand(new EndRunRecord(++_number, run.Run, run.Outcome), static _ => { }));
        return string.Empty;
    }
}
