namespace Barostep.Evaluation.Decisions;

/// <summary>Acceptance limit over tolerance limit as a function of the test uncertainty ratio: the usual shortcuts.</summary>
/// <remarks>They need no knowledge of the devices. Where there is some, <see cref="GlobalRisk.GuardBandFor"/> says more.</remarks>
public static class GuardBandFactor
{
    // From here on the second and third shortcut see no need for a guard band.
    private const double SufficientRatio = 4;

    /// <summary>√(1 − 1/R²): tolerance and uncertainty subtracted as squares. 0 for R below 1.</summary>
    public static double RootSumSquare(double ratio) => Math.Sqrt(Math.Max(0, 1 - (1 / (ratio * ratio))));

    /// <summary>1 − 1/R, the guard band w = U; 1 for R above 4.</summary>
    public static double WholeUncertainty(double ratio) => ratio > SufficientRatio ? 1 : Math.Max(0, 1 - (1 / ratio));

    /// <summary>1.25 − 1/R: meets 1 at R = 4 without a step (recommended practice RP-10); 1 for R above 4.</summary>
    public static double Stepless(double ratio) => ratio > SufficientRatio ? 1 : Math.Max(0, 1.25 - (1 / ratio));

    /// <summary>1 − (1.04 − e^(0.38·ln R − 0.54))/R: at most 2 % false accepts whatever the devices are (M. Dobbert).</summary>
    public static double TwoPercentRisk(double ratio) => 1 - ((1.04 - Math.Exp((0.38 * Math.Log(ratio)) - 0.54)) / ratio);
}
