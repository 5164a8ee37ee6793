using System.Buffers;
using System.Security.Cryptography;
using System.Text;
using System.Text.Json;

namespace Barostep.Safety;

/// <summary>Makes the lines of a journal, each sealed by a hash that covers the one before it. Writing them is the caller's.</summary>
/// <remarks>
/// A line is <c>{"n":…,"t":…,"w":…,"k":"…","d":{…},"p":"…","h":"…"}</c> and a line feed; the hash is SHA-256 over the bytes
/// of the line before <c>,"h":"</c>. An appended line counts as made: where writing it fails, the file is given up and
/// another begun, because nobody knows what of it reached the disk.
/// </remarks>
public sealed class JournalChain : IDisposable
{
    internal const int HashDigits = 64;

    private readonly ArrayBufferWriter<byte> _line = new(4096);
    private readonly Utf8JsonWriter _writer;
    private readonly byte[] _previous = new byte[HashDigits];
    private long _sequence;

    /// <summary>Goes on after a head; <see cref="JournalHead.Genesis"/> for an installation's first entry.</summary>
    public JournalChain(JournalHead after)
    {
        if (after.Hash is not { Length: HashDigits })
            throw new ArgumentException("The hash of a head has 64 hexadecimal digits.", nameof(after));
        _sequence = after.Sequence;
        Encoding.ASCII.GetBytes(after.Hash, _previous);
        _writer = new Utf8JsonWriter(_line, new JsonWriterOptions { SkipValidation = true });
    }

    /// <summary>Where the chain stands now.</summary>
    public JournalHead Head => new(_sequence, Encoding.ASCII.GetString(_previous));

    /// <summary>Makes the line of one entry, line feed included. It is valid until the next append.</summary>
    public ReadOnlyMemory<byte> Append(JournalStamp stamp, JournalPayload payload)
    {
        ArgumentNullException.ThrowIfNull(payload);
        Begin(stamp, payload.Kind);
        JournalJson.Write(_writer, payload);
        return Seal();
    }

    /// <summary>Makes the line of one cycle without allocating. It is valid until the next append.</summary>
    public ReadOnlyMemory<byte> AppendTick(in Observation seen, in Decision decision) =>
        AppendTick(seen, RecordedDecision.Of(decision));

    /// <inheritdoc cref="AppendTick(in Observation, in Decision)"/>
    public ReadOnlyMemory<byte> AppendTick(in Observation seen, in RecordedDecision decision)
    {
        Begin(new JournalStamp(seen.NowMicros, seen.WallMillis), JournalKind.Tick);
        TickFormat.Write(_writer, seen, decision);
        return Seal();
    }

    public void Dispose() => _writer.Dispose();

    private void Begin(JournalStamp stamp, JournalKind kind)
    {
        _line.ResetWrittenCount();
        _writer.Reset();
        _writer.WriteStartObject();
        _writer.WriteNumber("n"u8, ++_sequence);
        _writer.WriteNumber("t"u8, stamp.NowMicros);
        _writer.WriteNumber("w"u8, stamp.WallMillis);
        _writer.WriteString("k"u8, JournalWords.Of(kind));
        _writer.WritePropertyName("d"u8);
    }

    private ReadOnlyMemory<byte> Seal()
    {
        _writer.WriteString("p"u8, _previous);
        _writer.Flush();
        HashOf(_line.WrittenSpan, _previous);
        _line.Write(",\"h\":\""u8);
        _line.Write(_previous);
        _line.Write("\"}\n"u8);
        return _line.WrittenMemory;
    }

    /// <summary>SHA-256 in lower-case hexadecimal digits.</summary>
    internal static void HashOf(ReadOnlySpan<byte> bytes, Span<byte> digits)
    {
        Span<byte> hash = stackalloc byte[SHA256.HashSizeInBytes];
        SHA256.HashData(bytes, hash);
        for (int i = 0; i < hash.Length; i++)
        {
            digits[2 * i] = "0123456789abcdef"u8[hash[i] >> 4];
            digits[(2 * i) + 1] = "0123456789abcdef"u8[hash[i] & 15];
        }
    }
}
