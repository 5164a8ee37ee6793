using System.Globalization;
using Barostep.Safety;

namespace Barostep.Configuration.Quantities;

/// <summary>Says which unit was probably meant.</summary>
internal static class UnitHint
{
    public static readonly string PressureUnits = string.Join(", ", PressureUnit.All.Select(unit => unit.Symbol));

    public static QuantityFault For(string text, decimal number, string unit, QuantityKind kind)
    {
        if (unit.Length == 0)
            return new QuantityFault($"{kind.Name} has a unit", $"write for example \"{kind.Example}\"");
        if (kind == QuantityKind.ShareOfSpan && unit == "%")
            return new QuantityFault("a share says of what it is", $"write \"{text.Trim()} of span\"");
        if (kind == QuantityKind.PressureDifference && unit.Split(' ') is [var symbol, "gauge" or "absolute"])
        {
            return new QuantityFault("a pressure difference is neither gauge nor absolute",
                string.Create(CultureInfo.InvariantCulture, $"write \"{number} {symbol}\""));
        }

        string rule = $"\"{unit}\" is not a unit of {WithoutArticle(kind.Name)}; units are case-sensitive";
        return SameLetters(unit, kind.Units.Keys) is { } near
            ? new QuantityFault(rule, string.Create(CultureInfo.InvariantCulture, $"did you mean {near}: write \"{number} {near}\""))
            : new QuantityFault(rule, $"use one of {Listed(kind)}, for example \"{kind.Example}\"");
    }

    public static QuantityFault ForPressure(decimal number, string symbol, string[] words)
    {
        string reference = words.Length > 1 && QuantityText.ReferenceOf(words[1]) is not null ? words[1] : "gauge";
        if (symbol.Length == 0)
            return new QuantityFault("a pressure has a unit and says whether it is gauge or absolute", Write("bar", reference));
        if (Suffixed(symbol) is { } split)
            return new QuantityFault($"\"{symbol}\" is not a unit: the reference is a word of its own", Write(split.Unit, split.Reference));
        string rule = $"\"{symbol}\" is not a unit of pressure; units are case-sensitive";
        return SameLetters(symbol, PressureUnit.All.Select(unit => unit.Symbol)) is { } near
            ? new QuantityFault(rule, $"did you mean {near}: {Write(near, reference)}")
            : new QuantityFault(rule, $"use one of {PressureUnits}");

        string Write(string unit, string kind) => string.Create(CultureInfo.InvariantCulture, $"write \"{number} {unit} {kind}\"");
    }

    /// <summary>Takes <c>barg</c>, <c>bar(a)</c> or <c>psig</c> apart.</summary>
    private static (string Unit, string Reference)? Suffixed(string symbol)
    {
        string plain = symbol.Replace("(", string.Empty, StringComparison.Ordinal).Replace(")", string.Empty, StringComparison.Ordinal);
        if (plain.Length < 2 || PressureUnit.Find(plain[..^1]) is not { } unit)
            return null;
        return char.ToLowerInvariant(plain[^1]) switch
        {
            'g' => (unit.Symbol, "gauge"),
            'a' => (unit.Symbol, "absolute"),
            _ => null,
        };
    }

    private static string? SameLetters(string written, IEnumerable<string> known)
    {
        string[] all = [.. known];
        return all.FirstOrDefault(unit => string.Equals(unit, written, StringComparison.OrdinalIgnoreCase))
            ?? (written.Length < 3 ? null : NearestName.Of(written, all));
    }

    private static string Listed(QuantityKind kind) => string.Join(", ", kind.Units.Keys);

    private static string WithoutArticle(string name) => name[(name.IndexOf(' ', StringComparison.Ordinal) + 1)..];
}
