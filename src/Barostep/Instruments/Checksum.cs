namespace Barostep.Instruments;

/// <summary>Check fields that a message can carry, by the names that definitions use.</summary>
internal enum ChecksumKind
{
    /// <summary><c>sum8hex</c>: sum of all bytes before it modulo 256, as two upper-case hexadecimal digits.</summary>
    Sum8Hex,

    /// <summary><c>xor8hex</c>: exclusive or of all bytes before it, likewise.</summary>
    Xor8Hex,
}

internal static class Checksum
{
    /// <summary>Bytes of a check field.</summary>
    public const int Width = 2;

    public static ChecksumKind? Find(string name) => name switch
    {
        "sum8hex" => ChecksumKind.Sum8Hex,
        "xor8hex" => ChecksumKind.Xor8Hex,
        _ => null,
    };

    /// <summary>Writes the check field of the bytes before it.</summary>
    public static void Write(ChecksumKind kind, ReadOnlySpan<byte> before, Span<byte> field)
    {
        byte check = 0;
        foreach (byte b in before)
            check = kind == ChecksumKind.Sum8Hex ? (byte)(check + b) : (byte)(check ^ b);
        field[0] = HexDigit(check >> 4);
        field[1] = HexDigit(check & 0xF);
    }

    /// <summary>True where the field is exactly the expected one; lower case is refused, since one flipped bit makes it.</summary>
    public static bool Matches(ChecksumKind kind, ReadOnlySpan<byte> before, ReadOnlySpan<byte> field)
    {
        Span<byte> expected = stackalloc byte[Width];
        Write(kind, before, expected);
        return field.SequenceEqual(expected);
    }

    private static byte HexDigit(int digit) => (byte)(digit < 10 ? '0' + digit : 'A' + digit - 10);
}
