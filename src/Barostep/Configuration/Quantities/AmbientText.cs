using System.Globalization;

namespace Barostep.Configuration.Quantities;

/// <summary>Reads the air of a room from one text: <c>21.5 degC, 43 %RH, 1009 hPa</c>, each at most once, in any order.</summary>
public static class AmbientText
{
    internal const string Example = "21.5 degC, 43 %RH, 1009 hPa";

    private const double LeastCelsius = -20;
    private const double MostCelsius = 60;
    private const double LeastPascals = 50_000;
    private const double MostPascals = 110_000;

    /// <summary>What was read, or what is wrong with the text.</summary>
    public static RoomClimate Parse(string text) => Read(text, out RoomClimate climate) is { } fault
        ? throw new FormatException($"\"{text}\": {fault.Rule}; {fault.Instead}")
        : climate;

    internal static QuantityFault? Read(string text, out RoomClimate climate)
    {
        climate = new RoomClimate(null, null, null);
        foreach (string part in text.Split(',', StringSplitOptions.TrimEntries))
        {
            int space = part.IndexOf(' ', StringComparison.Ordinal);
            string unit = space < 0 ? string.Empty : part[(space + 1)..].Trim();
            if (space < 0 || !double.TryParse(part[..space], NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out double number))
                return new QuantityFault($"\"{part}\" is not a number with its unit", $"write for example \"{Example}\"");
            if (Put(ref climate, number, unit, part) is { } fault)
                return fault;
        }

        return null;
    }

    private static QuantityFault? Put(ref RoomClimate climate, double number, string unit, string part)
    {
        switch (unit)
        {
            case "degC" when climate.TemperatureCelsius is null && number is >= LeastCelsius and <= MostCelsius:
                climate = climate with { TemperatureCelsius = number };
                return null;
            case "%RH" when climate.RelativeHumidity is null && number is >= 0 and <= 100:
                climate = climate with { RelativeHumidity = number / 100 };
                return null;
            case "hPa" when climate.AtmospherePascals is null && number * 100 is >= LeastPascals and <= MostPascals:
                climate = climate with { AtmospherePascals = number * 100 };
                return null;
            case "degC" or "%RH" or "hPa":
                return new QuantityFault($"\"{part}\" is written twice, or lies outside -20 to 60 degC, 0 to 100 %RH, 500 to 1100 hPa", "write each once, as read");
            default:
                return new QuantityFault($"\"{part}\" has none of the units degC, %RH and hPa", $"write for example \"{Example}\"");
        }
    }
}
