using Barostep.Safety;

namespace Barostep.Daemon.Simulation.Checkers;

/// <summary>I10: what is left of every journal file verifies, replays to the same decisions, and goes on from the one before it.</summary>
internal sealed class JournalChecker : Checker
{
    public override string Name => "I10 journal";

    public override void Over()
    {
        JournalHead? end = null;
        for (int i = 0; i < World.Disk.Files.Count; i++)
            end = CheckFile(i, end);
    }

    private JournalHead CheckFile(int index, JournalHead? after)
    {
        DiskFile file = World.Disk.Files[index];
        using MemoryStream stream = file.Open();
        var reader = new JournalReader(stream);
        ReplayResult replay = JournalReplay.Run(reader.ReadAll());
        string name = $"journal file {index + 1}";
        if (reader.Fault is { } fault && (fault.Kind != JournalFaultKind.TornTail || !file.MayBeTorn))
            Report($"{name}: {fault.Message}");
        if (replay.Difference is { } difference)
            Report($"{name}, cycle {difference.Tick}: {difference.Field} was {difference.Then} and replays as {difference.Now}");
        if (replay.NotReplayed > 0 || replay.Problem.Length > 0)
            Report($"{name}: {replay.NotReplayed} cycles cannot be replayed. {replay.Problem}");
        if (after is { } head && reader.StartsAfter != head && reader.Count > 0)
            Report($"{name} does not go on from the one before it");
        return reader.Head;
    }
}
