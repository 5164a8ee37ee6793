using System.Globalization;
using Barostep.Control;
using Barostep.Safety;

namespace Barostep.Lines.Journals;

/// <summary>The journals of one bench: a file for each start of its guard, one chain through all of them.</summary>
public static class JournalFolder
{
    /// <summary>Begins the next file.</summary>
    /// <param name="folder">The bench's folder; it is made.</param>
    /// <returns>
    /// The journal, the number of its file, the kernel's state that the last file ends with, and what was wrong with that
    /// file's end for people, empty where nothing was.
    /// </returns>
    /// <exception cref="RefusedException">The last file is damaged before its end: a person must look.</exception>
    public static (SafetyJournal Journal, int FileNumber, SafetyState Start, string TornTail) Open(string folder)
    {
        Directory.CreateDirectory(folder);
        string? last = Directory.GetFiles(folder, "journal-*.jsonl").Order(StringComparer.Ordinal).LastOrDefault();
        int number = last is null ? 1 : int.Parse(Path.GetFileNameWithoutExtension(last)["journal-".Length..], CultureInfo.InvariantCulture) + 1;
        JournalHead after = JournalHead.Genesis;
        bool leftOpen = false;
        SafetyState start = SafetyState.Initial;
        string tornTail = string.Empty;
        if (last is not null)
        {
            JournalRecovery found = Read(last);
            (after, leftOpen, start) = (found.Head, !found.EndsCleanly || !found.LatchIsKnown, found.RestartState);
            tornTail = found.Fault is { } fault ? $"{last}: {fault.Message} The tail was cut off." : string.Empty;
        }

        return (new SafetyJournal(new FileJournal(PathOf(folder, number), reserve: JournalReserve.Take(folder)), after, leftOpen, start.TripNumber), number, start, tornTail);
    }

    /// <summary>The path of a file by its number.</summary>
    public static string PathOf(string folder, long number) =>
        Path.Combine(folder, string.Create(CultureInfo.InvariantCulture, $"journal-{number:D6}.jsonl"));

    private static JournalRecovery Read(string path)
    {
        using var stream = new FileStream(path, FileMode.Open, FileAccess.ReadWrite);
        JournalRecovery found = JournalRecovery.Scan(stream);
        if (!found.MayContinue)
            throw new RefusedException($"{path}: {found.Fault!.Message} Keep the file, find out why, and move it away before the bench is used.");
        if (found.Fault is not null)
            stream.SetLength(found.IntactBytes);
        return found;
    }
}
