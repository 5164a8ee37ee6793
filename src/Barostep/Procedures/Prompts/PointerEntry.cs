using System.Globalization;
using Barostep.Configuration;

namespace Barostep.Procedures.Prompts;

/// <summary>Reads what a person wrote of a pointer's place, and refuses what cannot be read from that scale.</summary>
public static class PointerEntry
{
    /// <summary>Readable steps by which a written number may miss one: decimals of a unit that is no round number of pascals.</summary>
    private const decimal StepTolerance = 0.001m;

    /// <summary>Takes an entry such as <c>4.12</c> or <c>4.12 bar</c>.</summary>
    /// <param name="device">A dial gauge.</param>
    /// <param name="text">What was written.</param>
    /// <param name="pascals">The place, Pa in the device's own reference.</param>
    /// <param name="message">What was found, the rule and what to write instead; null where the entry stands.</param>
    public static bool TryRead(DeviceDefinition device, string text, out double pascals, out string? message)
    {
        ArgumentNullException.ThrowIfNull(device);
        ArgumentNullException.ThrowIfNull(text);
        pascals = 0;
        string written = text.Trim();
        string number = written.EndsWith(device.Unit.Symbol, StringComparison.Ordinal) ? written[..^device.Unit.Symbol.Length].TrimEnd() : written;
        message = Problem(device, written, number, out decimal place);
        pascals = (double)(place * device.Unit.Pascals);
        return message is null;
    }

    private static string? Problem(DeviceDefinition device, string written, string number, out decimal place)
    {
        DialScale scale = device.Dial ?? throw new ArgumentException("only a dial gauge has a pointer", nameof(device));
        string unit = device.Unit.Symbol;
        const NumberStyles plain = NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint;
        if (!decimal.TryParse(number, plain, CultureInfo.InvariantCulture, out place))
        {
            string found = written.Length == 0 ? "nothing was entered" : $"'{Shortened(written)}' is no place of a pointer in {unit}";
            return $"{found}: it is one number with a point before its decimals; write for example {Plain(Middle(device))}";
        }

        decimal from = device.RangeFrom.Value;
        decimal to = device.RangeTo.Value;
        if (place < from || place > to)
            return $"{Plain(place)} {unit} is outside the scale: it goes from {Plain(from)} to {Plain(to)} {unit}; read the pointer again";
        decimal step = scale.ReadablePascals / device.Unit.Pascals;
        decimal steps = (place - from) / step;
        decimal below = Math.Floor(steps);
        if (Math.Abs(steps - Math.Round(steps)) <= StepTolerance)
            return null;
        return $"{Plain(place)} {unit} cannot be read from this scale: a division is {Plain(scale.DivisionPascals / device.Unit.Pascals)} {unit} and is read to "
            + $"1/{scale.PartsOfDivision} of it, so to {Plain(step)} {unit}; write {Plain(from + (below * step))} or {Plain(from + ((below + 1) * step))}";
    }

    private static decimal Middle(DeviceDefinition device)
    {
        decimal step = device.Dial!.ReadablePascals / device.Unit.Pascals;
        decimal half = (device.RangeTo.Value - device.RangeFrom.Value) / 2;
        return device.RangeFrom.Value + (Math.Floor(half / step) * step);
    }

    private static string Plain(decimal value) => value.ToString("0.######", CultureInfo.InvariantCulture);

    private static string Shortened(string text) => text.Length > 40 ? $"{text[..40]}..." : text;
}
