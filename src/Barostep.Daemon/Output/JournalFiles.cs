using Barostep.Daemon.Commands;
using Barostep.Safety;

namespace Barostep.Daemon.Output;

/// <summary>Reads the files of one chain one after another, each as the continuation of the one before.</summary>
internal sealed class JournalFiles(IReadOnlyList<string> paths)
{
    /// <summary>What ended the reading early, with the file's name; null where all is intact. Known after the last entry.</summary>
    public string? Fault { get; private set; }

    /// <summary>The atmosphere of the newest limits; null where no limits were read.</summary>
    public Pressure? Atmosphere { get; private set; }

    public IEnumerable<JournalEntry> Entries()
    {
        JournalHead? after = null;
        foreach (string path in paths)
        {
            using FileStream stream = JournalCommand.Open(path);
            var reader = new JournalReader(stream, after);
            while (reader.TryRead(out JournalEntry? entry))
            {
                if (entry.Kind == JournalKind.Limits)
                    Atmosphere = ((LimitsPayload)entry.ReadPayload()).Limits.Atmosphere;
                yield return entry;
            }

            after = reader.Head;
            if (reader.Fault is not { } fault)
                continue;
            Fault = $"{path}: {fault.Message}";
            yield break;
        }
    }
}
