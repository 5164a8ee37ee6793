using System.Runtime.CompilerServices;

namespace Barostep.Instruments;

/// <summary>How a reply compares with its pattern.</summary>
public enum ReplyMatch
{
    /// <summary>It is something else, or damaged.</summary>
    Mismatched,

    /// <summary>All of it matches.</summary>
    Matched,

    /// <summary>It matches, and a number in it is the instrument's mark for infinity or not-a-number.</summary>
    OverRange,
}

/// <summary>What the parts of a matched reply hold, by the part's place in <see cref="ReplyPattern.PartNames"/>.</summary>
public struct ReplyValues
{
    /// <summary>Most parts that a pattern may have.</summary>
    public const int Capacity = 8;

    private Parts _parts;

    /// <summary>The characters of a part, quotes left off.</summary>
    public readonly ReadOnlySpan<byte> Text(int part, ReadOnlySpan<byte> reply) => reply.Slice(_parts[part].Start, _parts[part].Length);

    /// <summary>The value of a number, integer or hex part; 0 for others.</summary>
    public readonly decimal Number(int part) => _parts[part].Number;

    internal void Set(int part, int start, int length, decimal number) => _parts[part] = new Part(start, length, number);

    private readonly record struct Part(int Start, int Length, decimal Number);

    [InlineArray(Capacity)]
    private struct Parts
    {
        private Part _first;
    }
}
