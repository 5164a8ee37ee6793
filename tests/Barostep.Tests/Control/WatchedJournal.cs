using System.Text;
using Barostep.Control;
using Barostep.Safety;

namespace Barostep.Tests.Control;

/// <summary>A journal file that notes when it was written to, and whose disk can be slow or broken.</summary>
internal sealed class WatchedJournal(List<string> order) : JournalFile
{
    private readonly MemoryStream _bytes = new();
    private long _asked;
    private long _done;

    /// <summary>Flushes are asked for and do not come.</summary>
    public bool Slow { get; set; }

    public bool FailFlush { get; set; }

    public bool FailAppend { get; set; }

    private bool Failed { get; set; }

    public override bool HasFailed => Failed;

    public override long FlushesDone => _done;

    public override void Append(ReadOnlySpan<byte> bytes)
    {
        Failed |= FailAppend;
        _bytes.Write(bytes);
        order.Add($"journal {KindOf(Encoding.UTF8.GetString(bytes))}");
    }

    public override long RequestFlush()
    {
        Failed |= FailFlush;
        _asked++;
        order.Add("flush");
        if (!Slow && !Failed)
            _done = _asked;
        return _asked;
    }

    public void DiskCatchesUp()
    {
        Slow = false;
        _done = _asked;
    }

    public IReadOnlyList<JournalEntry> Entries() =>
        [.. new JournalReader(new MemoryStream(_bytes.ToArray())).ReadAll()];

    public IReadOnlyList<Observation> Observations() =>
        [.. Entries().Where(e => e.Kind == JournalKind.Tick).Select(e => e.ReadObservation())];

    protected override void Dispose(bool disposing) => _bytes.Dispose();

    private static string KindOf(string line)
    {
        const string key = "\"k\":\"";
        int at = line.IndexOf(key, StringComparison.Ordinal) + key.Length;
        return line[at..line.IndexOf('"', at)];
    }
}
