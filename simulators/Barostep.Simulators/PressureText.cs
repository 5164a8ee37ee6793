using System.Globalization;
using Barostep.Simulators.Instruments;

namespace Barostep.Simulators;

/// <summary>Reads pressures as people write them: number, unit, reference.</summary>
public static class PressureText
{
    /// <summary>What to write, for messages.</summary>
    public const string Form = "write a number, a unit (bar, mbar, Pa, kPa, MPa, psi) and 'gauge' or 'absolute', such as \"20 bar gauge\"";

    /// <summary>What to write for a difference, for messages.</summary>
    public const string DifferenceForm = "write a number and a unit (bar, mbar, Pa, kPa, MPa, psi), such as \"0.1 bar\"";

    /// <summary>Reads <c>20 bar gauge</c> or <c>1013.25 mbar absolute</c> as absolute Pa.</summary>
    public static bool TryAbsolute(string text, double atmospherePa, out double pressurePa)
    {
        pressurePa = 0;
        int last = text.TrimEnd().LastIndexOf(' ');
        if (last < 0 || !TryDifference(text[..last], out double value))
        {
            return false;
        }

        string reference = text[last..].Trim();
        pressurePa = reference == "gauge" ? value + atmospherePa : value;
        return reference is "gauge" or "absolute";
    }

    /// <summary>Reads <c>0.1 bar</c> as Pa.</summary>
    public static bool TryDifference(string text, out double pressurePa)
    {
        pressurePa = 0;
        string[] words = text.Split(' ', StringSplitOptions.RemoveEmptyEntries);
        if (words.Length != 2 || UnitOfPressure.Named(words[1]) is not { } unit || !TryNumber(words[0], out double value))
        {
            return false;
        }

        pressurePa = value * unit.Pascals;
        return true;
    }

    /// <summary>Reads a finite number with a decimal point.</summary>
    public static bool TryNumber(string text, out double value) =>
        double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out value) && double.IsFinite(value);
}
