using System.Text.RegularExpressions;
using Barostep.Instruments;

namespace Barostep.Configuration.Checks;

/// <summary>The least time that an exchange takes on its line, from the length of its messages.</summary>
internal static partial class ExchangeTime
{
    // Fewer characters than "1.000" cannot tell a thousandth of a range.
    private const int ShortestNumber = 5;

    // A sign, seven digits with their point and an exponent: "+1.234567E+03" (trade practice).
    private const int LongestNumber = 14;

    // Of names, serial numbers and messages that the definition does not spell out (trade practice).
    private const int LongestWord = 24;

    /// <summary>Least time of request and reply on the line, µs, without the instrument's own delay.</summary>
    public static long LeastMicros(FittedInstrument fitted, Capability capability)
    {
        InstrumentDefinition definition = fitted.Definition;
        if (!definition.Exchanges.TryGetValue(capability, out ExchangeDefinition? exchange))
            return 0;
        if (definition.Modbus is { } modbus)
        {
            (int asked, int told) = ModbusMessages.Lengths(modbus, exchange.Registers!);
            return (long)(asked + told) * BitsPerByte(definition) * 1_000_000 / (fitted.Baud ?? definition.Line.Baud);
        }

        int terminator = definition.Framing.Terminator.Length;
        int echoes = definition.Framing.Echo ? 2 : 1;
        int bytes = exchange.Unasked ? 0 : echoes * (LengthOf(exchange.Request.Text, LeastOf) + terminator);
        if (exchange.Reply is { } reply)
            bytes += LengthOf(reply.Text, LeastOf) + terminator;
        return (long)bytes * BitsPerByte(definition) * 1_000_000 / (fitted.Baud ?? definition.Line.Baud);
    }

    /// <summary>Bits on the line for one byte: start bit, data, parity, stop bits.</summary>
    public static int BitsPerByte(InstrumentDefinition definition) =>
        1 + definition.Line.DataBits + (definition.Line.Parity == LineParity.None ? 0 : 1) + definition.Line.StopBits;

    /// <summary>Longest request and reply, terminators included, as far as the definition tells; never beyond its longest reply.</summary>
    public static (int Request, int Reply) MostBytes(InstrumentDefinition definition, Capability capability)
    {
        if (!definition.Exchanges.TryGetValue(capability, out ExchangeDefinition? exchange))
            return (0, 0);
        if (definition.Modbus is { } modbus)
            return ModbusMessages.Lengths(modbus, exchange.Registers!);
        int terminator = definition.Framing.Terminator.Length;
        int request = exchange.Unasked ? 0 : LengthOf(exchange.Request.Text, MostOf) + terminator;
        int reply = exchange.Reply is { } pattern ? LengthOf(pattern.Text, MostOf) + terminator : 0;
        int echo = definition.Framing.Echo ? request : 0;
        return (request, Math.Min(reply, definition.Framing.MaximumReply + terminator) + echo);

        int MostOf(string name, string type) => type switch
        {
            "sum8hex" or "xor8hex" => 2,
            "" when name == "address" => definition.Address?.Length ?? 1,
            "word" or "text" => WordsFor(definition, name).Select(word => word.Length).DefaultIfEmpty(LongestWord).Max(),
            _ => LongestNumber,
        };
    }

    private static int LengthOf(string message, Func<string, string, int> lengthOf) =>
        Piece().Matches(message).Sum(piece => LengthOfPiece(piece.Value, lengthOf));

    private static int LengthOfPiece(string piece, Func<string, string, int> lengthOf)
    {
        if (piece[0] != '{' || piece.Length < 2)
            return 1;
        string[] fields = piece[1..^1].Split(':');
        if (fields.Length > 1 && BinaryNumber.WidthOf(fields[1]) is > 0 and var bytes)
            return bytes;
        if (fields.Length > 2 && int.TryParse(fields[2], out int width))
            return width;
        return lengthOf(fields[0], fields.Length > 1 ? fields[1] : string.Empty);
    }

    private static int LeastOf(string name, string type) => type switch
    {
        "sum8hex" or "xor8hex" => 2,
        "" when name == "address" => 1,
        "word" or "text" or "integer" or "hex" => 1,
        _ => ShortestNumber,
    };

    private static IEnumerable<string> WordsFor(InstrumentDefinition definition, string name) => name switch
    {
        "unit" => definition.UnitWords.Keys,
        "mode" => definition.ModeWords.Keys,
        _ => [],
    };

    [GeneratedRegex("""\\x[0-9A-Fa-f]{2}|\\.|\{[^}]*\}|.""", RegexOptions.CultureInvariant | RegexOptions.Singleline)]
    private static partial Regex Piece();
}
