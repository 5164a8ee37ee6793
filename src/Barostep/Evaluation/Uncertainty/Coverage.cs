using MathNet.Numerics;
using MathNet.Numerics.Distributions;

namespace Barostep.Evaluation.Uncertainty;

/// <summary>Coverage factors from Student's t distribution (GUM annex G.3).</summary>
public static class Coverage
{
    /// <summary>Probability within two standard deviations of a normal distribution, erf(√2): the 95.45 % of EA-4/02.</summary>
    public const double TwoSigma = 0.954499736103641585599;

    /// <summary>Coverage factor for 95 % where one rectangular contribution dominates, 0.95·√3 rounded (EA-4/02 S9.14).</summary>
    public const double DominantRectangularFactor = 1.65;

    /// <summary>The factor k so that a share p of the distribution lies within ± k.</summary>
    /// <param name="probability">Two-sided coverage probability, above 0 and below 1, for example 0.95.</param>
    /// <param name="degreesOfFreedom">Above 0; infinite for the normal distribution.</param>
    public static double Factor(double probability, double degreesOfFreedom)
    {
        if (!(probability > 0 && probability < 1))
            throw new ArgumentOutOfRangeException(nameof(probability), probability, "a coverage probability lies between 0 and 1");
        if (!(degreesOfFreedom > 0))
            throw new ArgumentOutOfRangeException(nameof(degreesOfFreedom), degreesOfFreedom, "degrees of freedom are above 0");
        return double.IsPositiveInfinity(degreesOfFreedom)
            ? Normal.InvCDF(0, 1, (1 + probability) / 2)
            : Bisected(probability, degreesOfFreedom);
    }

    // The outside probability is I_x(ν/2, 1/2) with x = ν/(ν + t²), and falls steadily as t grows.
    private static double Bisected(double probability, double degreesOfFreedom)
    {
        double low = 0;
        double high = 1;
        while (Outside(high, degreesOfFreedom) > 1 - probability)
        {
            low = high;
            high *= 2;
        }

        // Halving ends by itself: at last no double lies between the two.
        for (double middle = (low + high) / 2; middle > low && middle < high; middle = (low + high) / 2)
        {
            if (Outside(middle, degreesOfFreedom) > 1 - probability)
                low = middle;
            else
                high = middle;
        }

        return high;
    }

    private static double Outside(double t, double degreesOfFreedom) =>
        SpecialFunctions.BetaRegularized(degreesOfFreedom / 2, 0.5, degreesOfFreedom / (degreesOfFreedom + (t * t)));
}
