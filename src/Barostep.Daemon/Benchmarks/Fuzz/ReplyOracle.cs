using System.Buffers.Binary;
using System.Globalization;
using System.Text;
using System.Text.RegularExpressions;

namespace Barostep.Daemon.Benchmarks.Fuzz;

/// <summary>What a reply says by a second reading of its dialect, which shares nothing with the reader under test.</summary>
internal sealed record ReplyOracle(string Definition, byte[] Identity, Func<Random, byte[]> Sound, Func<byte[], decimal?> Reads)
{
    private const string Number = @" *(?<value>[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)";

    // Before what is made with it: statics are made in their order.
    private static int[] Remainders { get; } = [.. Enumerable.Range(0, 256).Select(index =>
        Enumerable.Range(0, 8).Aggregate(index, (rest, _) => (rest & 1) == 0 ? rest >> 1 : (rest >> 1) ^ 0xA001))];

    /// <summary>One for each dialect that tells pressure.</summary>
    public static IReadOnlyList<ReplyOracle> All { get; } =
    [
        new("text-indicator", Ascii("SIMULATED,INDICATOR,SI-02077,1.0\n"),
            random => Ascii(string.Create(CultureInfo.InvariantCulture, $"{Pressure(random):0.000000E+00},BAR,GAUG\n")),
            bytes => Match(bytes, $"^{Number},(?:BAR,GAUG|BAR;GAUG|\"BAR[,;]GAUG\")\n\\z")),
        new("fixed-indicator", Ascii(Summed("<07IINDICSI-020771.0")),
            random => Ascii(Summed(string.Create(CultureInfo.InvariantCulture, $"<07P{Pressure(random):+0000.00000;-0000.00000}BG0"))),
            bytes => Match(bytes, "^<07P(?<whole> *(?<value>[+-]?(?:\\d+\\.?\\d*|\\.\\d+)(?:[eE][+-]?\\d+)?))BG0(?<sum>[0-9A-F]{2})\r\\z")),
        new("register-gauge", Framed([21, 4, 26, .. Ascii("GAUGE".PadRight(16, '\0')), .. Ascii("SG-00518"), 0, 100]),
            random => Framed([21, 4, 10, .. Single((float)Pressure(random)), 0, 0, 0, 0, 0, 0]),
            Registers),
    ];

    private static double Pressure(Random random) => Math.Round((random.NextDouble() * 18) - 1, 5);

    private static byte[] Ascii(string text) => Encoding.ASCII.GetBytes(text);

    private static string Summed(string text) => $"{text}{text.Sum(letter => letter) & 0xFF:X2}\r";

    private static decimal? Match(byte[] bytes, string pattern)
    {
        string text = Encoding.Latin1.GetString(bytes);
        Match match = Regex.Match(text, pattern, RegexOptions.CultureInvariant);
        if (!match.Success || (match.Groups["whole"].Success && match.Groups["whole"].Length != 11))
            return null;
        if (match.Groups["sum"].Success && match.Groups["sum"].Value != $"{text[..^3].Sum(letter => letter) & 0xFF:X2}")
            return null;
        return decimal.TryParse(match.Groups["value"].Value, NumberStyles.Float, CultureInfo.InvariantCulture, out decimal value) ? value : null;
    }

    private static byte[] Single(float value)
    {
        byte[] bytes = new byte[4];
        BinaryPrimitives.WriteSingleBigEndian(bytes, value);
        return bytes;
    }

    private static decimal? Registers(byte[] bytes)
    {
        bool sound = bytes.Length == 15 && bytes.AsSpan(0, 3).SequenceEqual(new byte[] { 21, 4, 10 }) && Framed(bytes[..^2]).SequenceEqual(bytes)
            && bytes.Skip(7).Take(6).All(value => value == 0);
        float told = sound ? BinaryPrimitives.ReadSingleBigEndian(bytes.AsSpan(3)) : float.NaN;
        return float.IsFinite(told) && Math.Abs(told) < 1e20 ? (decimal)(double)told : null;
    }

    // The check as a table of remainders, other than the reader's bit by bit.
    private static byte[] Framed(byte[] body)
    {
        int check = 0xFFFF;
        foreach (byte value in body)
            check = (check >> 8) ^ Remainders[(check ^ value) & 0xFF];
        return [.. body, (byte)check, (byte)(check >> 8)];
    }
}
