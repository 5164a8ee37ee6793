using System.Diagnostics.CodeAnalysis;
using System.Runtime.CompilerServices;
using System.Text;

namespace Barostep.Instruments;

/// <summary>The first bytes of a reply, held in place.</summary>
public readonly struct ReplyText : IEquatable<ReplyText>
{
    /// <summary>Bytes kept.</summary>
    public const int Capacity = 64;

    private readonly Bytes _bytes;
    private readonly int _length;

    public ReplyText(ReadOnlySpan<byte> reply)
    {
        _length = reply.Length;
        reply[..Math.Min(reply.Length, Capacity)].CopyTo(_bytes);
    }

    /// <summary>Bytes that arrived, of which at most <see cref="Capacity"/> are kept.</summary>
    public int Length => _length;

    private ReplyText(ReadOnlySpan<byte> kept, int arrived)
        : this(kept) => _length = arrived;

    /// <summary>The text whose kept bytes and length were carried somewhere else.</summary>
    /// <param name="kept">At least as many bytes as are kept of that length.</param>
    /// <param name="arrived">Its <see cref="Length"/>.</param>
    public static ReplyText Restore(ReadOnlySpan<byte> kept, int arrived) =>
        new(kept[..Math.Clamp(arrived, 0, Math.Min(kept.Length, Capacity))], Math.Max(arrived, 0));

    public static bool operator ==(ReplyText a, ReplyText b) => a.Equals(b);

    public static bool operator !=(ReplyText a, ReplyText b) => !a.Equals(b);

    public bool Equals(ReplyText other) => _length == other._length && Kept().SequenceEqual(other.Kept());

    /// <summary>Copies the kept bytes.</summary>
    public void CopyTo(Span<byte> destination) => Kept().CopyTo(destination);

    public override bool Equals(object? obj) => obj is ReplyText other && Equals(other);

    public override int GetHashCode()
    {
        HashCode hash = default;
        hash.AddBytes(Kept());
        return hash.ToHashCode();
    }

    /// <summary>Printable characters as they are, all others as <c>\xHH</c>, so that a reply cannot forge a line of a log.</summary>
    public override string ToString() => Printable(Kept()) + (_length > Capacity ? "…" : string.Empty);

    internal static string Printable(ReadOnlySpan<byte> text)
    {
        StringBuilder printable = new(text.Length);
        foreach (byte b in text)
        {
            if (b is >= 0x20 and < 0x7F and not (byte)'\\')
                printable.Append((char)b);
            else
                printable.Append("\\x").Append(b.ToString("X2", null));
        }

        return printable.ToString();
    }

    [UnscopedRef]
    private ReadOnlySpan<byte> Kept() => ((ReadOnlySpan<byte>)_bytes)[..Math.Min(_length, Capacity)];

    [InlineArray(Capacity)]
    private struct Bytes
    {
        private byte _first;
    }
}
