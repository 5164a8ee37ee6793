using System.Buffers;
using System.Buffers.Binary;
using System.Text.Unicode;

namespace Barostep.Lines.GuardLine;

/// <summary>Writes one record field by field: a fixed place for each, little-endian, nothing allocated.</summary>
/// <remarks>A record begins with the magic number, the version, its kind and its length: eight bytes.</remarks>
internal ref struct RecordWriter
{
    public const uint Magic = 0x4754_5342;
    public const byte Version = 2;
    public const int HeaderLength = 8;

    private readonly Span<byte> _bytes;
    private int _length;

    public RecordWriter(Span<byte> bytes, RecordKind kind)
    {
        _bytes = bytes;
        BinaryPrimitives.WriteUInt32LittleEndian(bytes, Magic);
        bytes[4] = Version;
        bytes[5] = (byte)kind;
        _length = HeaderLength;
    }

    public void Byte(byte value) => _bytes[_length++] = value;

    public void Flag(bool value) => Byte(value ? (byte)1 : (byte)0);

    public void UInt32(uint value)
    {
        BinaryPrimitives.WriteUInt32LittleEndian(_bytes[_length..], value);
        _length += sizeof(uint);
    }

    public void Int64(long value)
    {
        BinaryPrimitives.WriteInt64LittleEndian(_bytes[_length..], value);
        _length += sizeof(long);
    }

    /// <summary>A text in a place of fixed size: its length in two bytes, then UTF-8, cut where it does not fit.</summary>
    public void Text(ReadOnlySpan<char> value, int capacity)
    {
        Span<byte> place = _bytes.Slice(_length + sizeof(ushort), capacity);
        place.Clear();
        if (Utf8.FromUtf16(value, place, out _, out int written) == OperationStatus.DestinationTooSmall)
        {
            // What was cut short says so.
            ReadOnlySpan<byte> more = "…"u8;
            place.Clear();
            Utf8.FromUtf16(value, place[..^more.Length], out _, out written);
            more.CopyTo(place[written..]);
            written += more.Length;
        }

        BinaryPrimitives.WriteUInt16LittleEndian(_bytes[_length..], (ushort)written);
        _length += sizeof(ushort) + capacity;
    }

    public void Bytes(scoped ReadOnlySpan<byte> value, int capacity)
    {
        Span<byte> place = _bytes.Slice(_length, capacity);
        place.Clear();
        value[..Math.Min(value.Length, capacity)].CopyTo(place);
        _length += capacity;
    }

    /// <summary>Completes the header.</summary>
    public readonly int End()
    {
        BinaryPrimitives.WriteUInt16LittleEndian(_bytes[6..], (ushort)_length);
        return _length;
    }
}
