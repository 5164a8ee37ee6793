using System.Text.RegularExpressions;
using Barostep.Instruments;

namespace Barostep.Configuration.Checks;

/// <summary>The least time that an exchange takes on its line, from the length of its messages.</summary>
internal static partial class ExchangeTime
{
    // Fewer characters than "1.000" cannot tell a thousandth of a range.
    private const int ShortestNumber = 5;

    /// <summary>Least time of request and reply on the line, µs, without the instrument's own delay.</summary>
    public static long LeastMicros(FittedInstrument fitted, Capability capability)
    {
        InstrumentDefinition definition = fitted.Definition;
        if (!definition.Exchanges.TryGetValue(capability, out ExchangeDefinition? exchange))
            return 0;
        LineSettings line = definition.Line;
        int bitsPerByte = 1 + line.DataBits + (line.Parity == LineParity.None ? 0 : 1) + line.StopBits;
        int bytes = LengthOf(exchange.Request.Text) + definition.Framing.Terminator.Length;
        if (exchange.Reply is { } reply)
            bytes += LengthOf(reply.Text) + definition.Framing.Terminator.Length;
        return (long)bytes * bitsPerByte * 1_000_000 / (fitted.Baud ?? line.Baud);
    }

    private static int LengthOf(string message) => Piece().Matches(message).Sum(piece => LengthOfPiece(piece.Value));

    private static int LengthOfPiece(string piece)
    {
        if (piece[0] != '{' || piece.Length < 2)
            return 1;
        string[] fields = piece[1..^1].Split(':');
        if (fields.Length > 2 && int.TryParse(fields[2], out int width))
            return width;
        return fields.Length > 1 ? LengthOfType(fields[1]) : ShortestNumber;
    }

    private static int LengthOfType(string type) => type switch
    {
        "sum8hex" or "xor8hex" => 2,
        "word" or "text" or "integer" or "hex" => 1,
        _ => ShortestNumber,
    };

    [GeneratedRegex("""\\x[0-9A-Fa-f]{2}|\\.|\{[^}]*\}|.""", RegexOptions.CultureInvariant | RegexOptions.Singleline)]
    private static partial Regex Piece();
}
