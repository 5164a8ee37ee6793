namespace Barostep.Procedures.Settling;

/// <summary>When the rest of the error of indication is small enough to read: asked for in place of window and slope.</summary>
/// <param name="ShareOfTolerance">What may remain, with its uncertainty, as a share of the device's tolerance.</param>
/// <param name="CoverageFactor">Multiple of the standard uncertainty that is added.</param>
public sealed record PredictedRest(double ShareOfTolerance, double CoverageFactor = 2)
{
    /// <summary>Share of what may remain that is used; the rest is kept for what a model of weights that never change cannot know. Chosen on <c>benchmark settling</c>.</summary>
    private const double Used = 0.65;

    /// <summary>What may remain, Pa.</summary>
    public double LimitPascals(double tolerancePascals) => ShareOfTolerance * tolerancePascals;

    /// <summary>Whether a point may be read, or a reading may count.</summary>
    public bool Accepts(SettlingForecast forecast, double tolerancePascals) => forecast.Bound(CoverageFactor) <= AimPascals(tolerancePascals);

    /// <summary>What is waited for, Pa.</summary>
    public double AimPascals(double tolerancePascals) => Used * LimitPascals(tolerancePascals);
}
