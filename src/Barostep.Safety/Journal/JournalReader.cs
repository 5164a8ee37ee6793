using System.Diagnostics.CodeAnalysis;

namespace Barostep.Safety;

/// <summary>Reads a journal entry by entry and stops at the first that is not intact.</summary>
/// <remarks>
/// A line feed ends an entry and occurs nowhere else, so bytes after the last one are a torn tail. A finished line that does
/// not fit the chain is corruption, wherever it stands: cutting it off is for a person to decide.
/// </remarks>
public sealed class JournalReader
{
    /// <summary>No entry is longer, in bytes; limits with hundreds of parts stay far below.</summary>
    public const int LongestEntry = 1 << 20;

    private readonly Stream _stream;
    private readonly bool _startIsKnown;
    private byte[] _buffer = new byte[1 << 16];
    private int _start;
    private int _end;
    private bool _streamEnded;

    /// <summary>Reads from the stream's beginning; the stream stays the caller's.</summary>
    /// <param name="stream">One file of a journal.</param>
    /// <param name="after">The head that its first entry must continue; null takes the file's own word where it is not an installation's first.</param>
    public JournalReader(Stream stream, JournalHead? after = null)
    {
        _stream = stream;
        _startIsKnown = after is not null;
        StartsAfter = after ?? JournalHead.Genesis;
        Head = StartsAfter;
    }

    /// <summary>The head that the first entry continues; final once an entry was read.</summary>
    public JournalHead StartsAfter { get; private set; }

    /// <summary>The newest intact entry.</summary>
    public JournalHead Head { get; private set; }

    /// <summary>Intact entries read so far.</summary>
    public long Count { get; private set; }

    /// <summary>Length of the intact part in bytes: a torn tail is cut here.</summary>
    public long IntactBytes { get; private set; }

    /// <summary>What ended the reading early; null while entries are intact, and where the file ends with its last entry.</summary>
    public JournalFault? Fault { get; private set; }

    /// <summary>Reads the next intact entry; false at the end or at the first fault.</summary>
    public bool TryRead([NotNullWhen(true)] out JournalEntry? entry)
    {
        entry = null;
        if (Fault is not null || !TryReadLine(out ReadOnlyMemory<byte> line))
            return false;
        string? problem = JournalLine.Parse(line, IntactBytes, out entry);
        if (problem is null)
        {
            if (Count == 0 && !_startIsKnown && entry!.Sequence > 1)
                StartsAfter = Head = new JournalHead(entry.Sequence - 1, entry.PreviousHash);
            problem = Follows(entry!);
        }

        if (problem is not null)
        {
            entry = null;
            Fault = Corrupt(problem);
            return false;
        }

        Head = entry!.Head;
        Count++;
        IntactBytes += line.Length + 1;
        return true;
    }

    /// <summary>All intact entries; see <see cref="Fault"/> afterwards.</summary>
    public IEnumerable<JournalEntry> ReadAll()
    {
        while (TryRead(out JournalEntry? entry))
            yield return entry;
    }

    /// <summary>Reads to the end and compares with a signed head whose signature was verified.</summary>
    /// <returns>The first fault, or null where all is intact and holds the signed entry.</returns>
    public JournalFault? Verify(JournalHead? signed = null)
    {
        bool reached = false;
        while (TryRead(out JournalEntry? entry))
            reached |= entry.Head == signed;
        if (signed is not { } head || reached || head == StartsAfter || Fault is { Kind: JournalFaultKind.Corruption })
            return Fault;
        return Fault = new JournalFault(
            JournalFaultKind.MissingTail, Math.Min(head.Sequence, Head.Sequence + 1), IntactBytes, WhyNotReached(head));
    }

    private string WhyNotReached(JournalHead signed)
    {
        if (signed.Sequence > Head.Sequence)
            return $"The journal ends with entry {Head.Sequence}, but entry {signed.Sequence} was signed: {signed.Sequence - Head.Sequence} entries or more are missing at its end.";
        if (signed.Sequence < StartsAfter.Sequence)
            return $"Entry {signed.Sequence} was signed, but this file begins after entry {StartsAfter.Sequence}; verify the file that holds it.";
        return $"Entry {signed.Sequence} is not the one that was signed: the journal was written anew from there or from before.";
    }

    private string? Follows(JournalEntry entry)
    {
        if (entry.Sequence != Head.Sequence + 1)
            return $"it bears number {entry.Sequence}";
        return entry.PreviousHash == Head.Hash ? null : "it does not continue the entry before it";
    }

    private JournalFault Corrupt(string problem) => new(
        JournalFaultKind.Corruption,
        Head.Sequence + 1,
        IntactBytes,
        $"Entry {Head.Sequence + 1} at byte {IntactBytes} is not intact: {problem}.");

    private bool TryReadLine(out ReadOnlyMemory<byte> line)
    {
        int searched = 0;
        while (true)
        {
            int feed = _buffer.AsSpan(_start + searched, _end - _start - searched).IndexOf((byte)'\n');
            if (feed >= 0)
            {
                line = _buffer.AsMemory(_start, searched + feed);
                _start += searched + feed + 1;
                return true;
            }

            searched = _end - _start;
            line = default;
            if (searched > LongestEntry)
            {
                Fault = Corrupt($"its line is longer than {LongestEntry} bytes");
                return false;
            }

            if (!Fill())
            {
                if (searched > 0)
                    Fault = Torn(searched);
                return false;
            }
        }
    }

    private JournalFault Torn(int bytes) => new(
        JournalFaultKind.TornTail,
        Head.Sequence + 1,
        IntactBytes,
        $"The file ends within entry {Head.Sequence + 1}: {bytes} bytes from byte {IntactBytes} on are a torn tail. All {Count} entries before it are intact.");

    private bool Fill()
    {
        if (_streamEnded)
            return false;
        if (_start > 0)
        {
            Buffer.BlockCopy(_buffer, _start, _buffer, 0, _end - _start);
            _end -= _start;
            _start = 0;
        }

        if (_end == _buffer.Length)
            Array.Resize(ref _buffer, _buffer.Length * 2);
        int read = _stream.Read(_buffer, _end, _buffer.Length - _end);
        _end += read;
        _streamEnded = read == 0;
        return read > 0;
    }
}
