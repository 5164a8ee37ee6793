using System.Diagnostics.CodeAnalysis;
using Barostep.Configuration.Quantities;
using Barostep.Safety;

namespace Barostep.Configuration;

/// <summary>Reads a pressure that a person typed, by the same rules as those of the files.</summary>
public static class PressureInput
{
    /// <summary>Reads number, unit, and <c>gauge</c> or <c>absolute</c>; on failure the message says what to write.</summary>
    public static bool TryRead(string text, out StatedPressure pressure, [NotNullWhen(false)] out string? message)
    {
        QuantityFault? fault = QuantityText.ReadPressure(text, out pressure);
        message = fault is null ? null : $"\"{text}\": {fault.Rule}; {fault.Instead}";
        return fault is null;
    }
}
