using System.Buffers.Binary;
using System.Text;

namespace Barostep.Lines.GuardLine;

/// <summary>Reads what <see cref="RecordWriter"/> wrote. What does not fit makes the whole record void.</summary>
internal ref struct RecordReader
{
    private static readonly UTF8Encoding Strict = new(encoderShouldEmitUTF8Identifier: false, throwOnInvalidBytes: true);

    private readonly ReadOnlySpan<byte> _bytes;
    private int _place;

    private RecordReader(ReadOnlySpan<byte> bytes)
    {
        _bytes = bytes;
        _place = RecordWriter.HeaderLength;
        IsSound = true;
    }

    /// <summary>Whether every field so far was there and could be what it is meant to be.</summary>
    public bool IsSound { get; private set; }

    /// <summary>Whether nothing is missing and nothing is left over.</summary>
    public readonly bool IsComplete => IsSound && _place == _bytes.Length;

    /// <summary>The kind of a message, or null where it is none of ours.</summary>
    public static RecordKind? KindOf(ReadOnlySpan<byte> bytes)
    {
        bool ours = bytes.Length >= RecordWriter.HeaderLength
            && BinaryPrimitives.ReadUInt32LittleEndian(bytes) == RecordWriter.Magic
            && bytes[4] == RecordWriter.Version
            && BinaryPrimitives.ReadUInt16LittleEndian(bytes[6..]) == bytes.Length;
        return ours && bytes[5] is >= (byte)RecordKind.Hello and <= (byte)RecordKind.Reply ? (RecordKind)bytes[5] : null;
    }

    public static bool TryBegin(ReadOnlySpan<byte> bytes, RecordKind kind, out RecordReader reader)
    {
        reader = new RecordReader(bytes);
        return KindOf(bytes) == kind;
    }

    public byte Byte(byte largest = byte.MaxValue)
    {
        byte value = Take(1) is [var one] ? one : (byte)0;
        IsSound &= value <= largest;
        return value;
    }

    public bool Flag() => Byte(1) == 1;

    public uint UInt32() => Take(sizeof(uint)) is { Length: > 0 } field ? BinaryPrimitives.ReadUInt32LittleEndian(field) : 0;

    public long Int64() => Take(sizeof(long)) is { Length: > 0 } field ? BinaryPrimitives.ReadInt64LittleEndian(field) : 0;

    public ReadOnlySpan<byte> Bytes(int capacity) => Take(capacity);

    public string Text(int capacity)
    {
        ReadOnlySpan<byte> counted = Take(sizeof(ushort));
        int length = counted.Length > 0 ? BinaryPrimitives.ReadUInt16LittleEndian(counted) : 0;
        ReadOnlySpan<byte> field = Take(capacity);
        IsSound &= length <= field.Length;
        if (!IsSound || length == 0)
            return string.Empty;
        try
        {
            string text = Strict.GetString(field[..length]);
            IsSound &= !text.Any(char.IsControl);
            return text;
        }
        catch (DecoderFallbackException)
        {
            IsSound = false;
            return string.Empty;
        }
    }

    private ReadOnlySpan<byte> Take(int length)
    {
        IsSound &= _place + length <= _bytes.Length;
        if (!IsSound)
            return [];
        _place += length;
        return _bytes.Slice(_place - length, length);
    }
}
