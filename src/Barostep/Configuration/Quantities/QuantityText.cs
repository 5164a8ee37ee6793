using System.Globalization;
using System.Text.RegularExpressions;
using Barostep.Safety;

namespace Barostep.Configuration.Quantities;

/// <summary>What is wrong with a quantity's text: the rule it breaks and what to write instead.</summary>
internal sealed record QuantityFault(string Rule, string Instead);

/// <summary>Reads quantities written as number and unit, the same way in every locale.</summary>
internal static partial class QuantityText
{
    /// <summary>Reads a quantity of a kind, in the kind's base unit.</summary>
    public static QuantityFault? Read(string text, QuantityKind kind, out decimal value)
    {
        if (Split(text, kind.Example, out decimal number, out string unit) is { } fault)
        {
            value = 0m;
            return fault;
        }

        value = 0m;
        if (!kind.Units.TryGetValue(unit, out decimal factor))
            return UnitHint.For(text, number, unit, kind);
        return TryMultiply(number, factor, out value) ? null : TooLarge(kind.Example);
    }

    /// <summary>Reads a pressure: number, unit, and <c>gauge</c> or <c>absolute</c>.</summary>
    public static QuantityFault? ReadPressure(string text, out StatedPressure pressure)
    {
        pressure = default;
        if (Split(text, "16 bar gauge", out decimal number, out string rest) is { } fault)
            return fault;
        string[] words = rest.Split(' ', StringSplitOptions.RemoveEmptyEntries);
        string symbol = words.Length == 0 ? string.Empty : words[0];
        if (PressureUnit.Find(symbol) is not { } unit)
            return UnitHint.ForPressure(number, symbol, words);
        if (words.Length == 1 || ReferenceOf(words[1]) is not { } reference || words.Length > 2)
            return ReferenceFault(number, unit, words[1..]);
        if (!TryMultiply(number, unit.Pascals, out decimal pascals) || Math.Abs(pascals) > HighestPascals)
            return TooLarge("16 bar gauge");
        pressure = new StatedPressure(number, unit, reference);
        return null;
    }

    /// <summary>Reads a unit with its reference and no number: <c>bar gauge</c>.</summary>
    public static QuantityFault? ReadUnit(string text, out PressureUnit? unit, out PressureReference reference)
    {
        string[] words = text.Split(' ', StringSplitOptions.RemoveEmptyEntries);
        unit = words.Length == 2 ? PressureUnit.Find(words[0]) : null;
        PressureReference? found = words.Length == 2 ? ReferenceOf(words[1]) : null;
        reference = found ?? PressureReference.Absolute;
        if (unit is not null && found is not null)
            return null;
        return new QuantityFault(
            $"a unit is one of {UnitHint.PressureUnits}, followed by \"gauge\" or \"absolute\"", "write for example \"bar gauge\"");
    }

    public static PressureReference? ReferenceOf(string word) => word switch
    {
        "gauge" => PressureReference.Gauge,
        "absolute" => PressureReference.Absolute,
        _ => null,
    };

    // 1 GPa: far above any bench, far below what overflows millipascals in 64 bits.
    private const decimal HighestPascals = 1_000_000_000m;

    private static QuantityFault? Split(string text, string example, out decimal number, out string unit)
    {
        number = 0m;
        unit = string.Empty;
        if (CommaNumber().Match(text) is { Success: true } comma)
        {
            return new QuantityFault("the decimal sign is a point and thousands are not separated",
                $"write \"{text.Remove(comma.Groups["comma"].Index, 1).Insert(comma.Groups["comma"].Index, ".")}\"");
        }

        Match parts = NumberAndUnit().Match(text);
        if (!parts.Success)
            return new QuantityFault("a quantity is a number followed by its unit", $"write for example \"{example}\"");
        unit = WhiteSpace().Replace(parts.Groups["unit"].Value.Trim(), " ");
        bool read = decimal.TryParse(parts.Groups["number"].Value, NumberStyles.Float, CultureInfo.InvariantCulture, out number);
        return read ? null : TooLarge(example);
    }

    private static QuantityFault ReferenceFault(decimal number, PressureUnit unit, string[] after)
    {
        string stem = string.Create(CultureInfo.InvariantCulture, $"{number} {unit}");
        if (after.Length > 1)
            return new QuantityFault("a pressure is either gauge or absolute, with nothing after it", $"write \"{stem} gauge\" or \"{stem} absolute\"");
        if (after.Length == 1 && NearestName.Of(after[0], ["gauge", "absolute"]) is { } near)
            return new QuantityFault($"\"{after[0]}\" is not a reference", $"write \"{stem} {near}\"");
        return new QuantityFault("a pressure says whether it is gauge or absolute", $"write \"{stem} gauge\" or \"{stem} absolute\"");
    }

    private static QuantityFault TooLarge(string example) =>
        new("the number is beyond what any bench can have", $"write for example \"{example}\"");

    private static bool TryMultiply(decimal a, decimal b, out decimal product)
    {
        product = 0m;
        // Decimal multiplication throws above 7.9e28; a double estimate is exact enough to keep clear of that.
        if (Math.Abs((double)a * (double)b) > 1e27)
            return false;
        product = a * b;
        return true;
    }

    [GeneratedRegex("""^\s*[+-]?\d+(?<comma>,)\d""", RegexOptions.CultureInvariant)]
    private static partial Regex CommaNumber();

    [GeneratedRegex("""^\s*(?<number>[+-]?[0-9]+(\.[0-9]+)?([eE][+-]?[0-9]{1,3})?)\s*(?<unit>\D.*)?$""", RegexOptions.CultureInvariant)]
    private static partial Regex NumberAndUnit();

    [GeneratedRegex("""\s+""", RegexOptions.CultureInvariant)]
    private static partial Regex WhiteSpace();
}
