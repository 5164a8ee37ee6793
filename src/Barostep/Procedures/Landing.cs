namespace Barostep.Procedures;

/// <summary>What a run has learned about how far its source passes a set point, and how to land on the next one without that.</summary>
/// <param name="PassedOfStep">By how much it passes, as a share of the step; 0 while it lands well.</param>
/// <param name="Halvings">How often the rate for the last of a way was halved, because the source passed its end nevertheless.</param>
/// <remarks>
/// A step whose set point would be passed too far is asked for in two: first for less, so that the source passes to just
/// short of the point, then for the rest. A source that passes by a share of each step passes the point by next to nothing
/// then; one that passes by its own lag does it again, and is asked for the rest more slowly the next time.
/// </remarks>
public readonly record struct Landing(double PassedOfStep, int Halvings)
{
    /// <summary>Time from a reading to the source's answer to a new set point, s: a poll, a cycle, an exchange. Experience.</summary>
    private const double LeadSeconds = 0.3;

    /// <summary>Room beyond what was seen. Experience.</summary>
    private const double Room = 1.25;

    /// <summary>An eighth of the rate is slow enough for any source that regulates at all.</summary>
    private const int MostHalvings = 3;

    /// <summary>A step that passes its point by less than this share of what is allowed is asked for at once.</summary>
    private const double ToleratedOfAllowed = 0.5;

    /// <summary>By how much less than the step is asked for first, Pa; 0 where it is asked for at once.</summary>
    /// <param name="stepPascals">Length of the step.</param>
    /// <param name="allowedPascals">How far its end may be passed.</param>
    public double ShortPascals(double stepPascals, double allowedPascals)
    {
        double passed = PassedOfStep * stepPascals;
        return passed > ToleratedOfAllowed * allowedPascals ? Math.Min(Room * passed, 0.5 * stepPascals) : 0;
    }

    /// <summary>How near the first set point the rest is asked for, Pa.</summary>
    public static double LeadPascals(double ratePascalsPerSecond) => LeadSeconds * ratePascalsPerSecond;

    /// <summary>Share of the rate at which the rest is asked for.</summary>
    public double RateShare => Math.Pow(0.5, Halvings);

    /// <summary>After a set point was passed.</summary>
    /// <param name="beyondPascals">How far.</param>
    /// <param name="stepPascals">Length of the step.</param>
    /// <param name="allowedPascals">How far it may be passed; what is well within that is noise.</param>
    /// <param name="inTwo">It was asked for in two, so that this is what they did not take away.</param>
    public Landing Learn(double beyondPascals, double stepPascals, double allowedPascals, bool inTwo)
    {
        if (beyondPascals <= ToleratedOfAllowed * allowedPascals || stepPascals <= allowedPascals)
            return this;
        return inTwo
            ? this with { Halvings = Math.Min(Halvings + 1, MostHalvings) }
            : this with { PassedOfStep = Math.Max(PassedOfStep, beyondPascals / stepPascals) };
    }
}
