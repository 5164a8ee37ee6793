using System.Globalization;
using Barostep.Control;
using Barostep.Safety;

namespace Barostep.Daemon.Output;

/// <summary>The journals of one bench: a file for each start of the daemon, one chain through all of them.</summary>
internal static class JournalFolder
{
    /// <summary>Begins the next file.</summary>
    /// <param name="folder">The bench's folder; it is made.</param>
    /// <returns>The journal, the number of its file, and the kernel's state that the last file ends with.</returns>
    /// <exception cref="RefusedException">The last file is damaged before its end: a person must look.</exception>
    public static (SafetyJournal Journal, int FileNumber, SafetyState Start) Open(string folder)
    {
        Directory.CreateDirectory(folder);
        string? last = Directory.GetFiles(folder, "journal-*.jsonl").Order(StringComparer.Ordinal).LastOrDefault();
        int number = last is null ? 1 : int.Parse(Path.GetFileNameWithoutExtension(last)["journal-".Length..], CultureInfo.InvariantCulture) + 1;
        JournalHead after = JournalHead.Genesis;
        bool leftOpen = false;
        SafetyState start = SafetyState.Initial;
        if (last is not null)
            (after, leftOpen, start) = Read(last);
        string path = Path.Combine(folder, string.Create(CultureInfo.InvariantCulture, $"journal-{number:D6}.jsonl"));
        return (new SafetyJournal(new FileJournal(path), after, leftOpen, start.TripNumber), number, start);
    }

    private static (JournalHead Head, bool LeftOpen, SafetyState Start) Read(string path)
    {
        JournalKind lastKind = JournalKind.Open;
        CauseSet latched = CauseSet.Empty;
        Cause first = Cause.None;
        uint trip = 0;
        using var stream = new FileStream(path, FileMode.Open, FileAccess.ReadWrite);
        var reader = new JournalReader(stream);
        while (reader.TryRead(out JournalEntry? entry))
        {
            lastKind = entry.Kind;
            if (entry.Kind == JournalKind.Tick && RecordedDecision.TryRead(entry, out RecordedDecision decision))
                (latched, first, trip) = (decision.Latched, decision.FirstCause, decision.TripNumber);
        }

        if (reader.Fault is { Kind: JournalFaultKind.Corruption } fault)
            throw new RefusedException($"{path}: {fault.Message} Keep the file, find out why, and move it away before the bench is used.");
        if (reader.Fault is not null)
            stream.SetLength(reader.IntactBytes);
        return (reader.Head, lastKind != JournalKind.Stop, SafetyState.AfterRestart(latched, first, trip));
    }
}
