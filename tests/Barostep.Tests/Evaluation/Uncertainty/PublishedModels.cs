using Barostep.Evaluation.Formulas;
using Barostep.Evaluation.Uncertainty;

namespace Barostep.Tests.Evaluation.Uncertainty;

/// <summary>Measurement models that guides publish results of.</summary>
internal static class PublishedModels
{
    /// <summary>Calibration of a weight, JCGM 101:2008 clause 9.3, in mg and kg/m³.</summary>
    public static MeasurementModel Mass()
    {
        UncertaintyInput[] inputs =
        [
            new("mrc", 100_000, 0.050, 1, double.PositiveInfinity, Distribution.Normal),
            new("dmrc", 1.234, 0.020, 1, double.PositiveInfinity, Distribution.Normal),
            UncertaintyInput.FromLimits("ra", 1.20, 0.10, 1, Distribution.Rectangular),
            UncertaintyInput.FromLimits("rw", 8000, 1000, 1, Distribution.Rectangular),
            UncertaintyInput.FromLimits("rr", 8000, 50, 1, Distribution.Rectangular),
        ];
        return MeasurementModel.Of(
            Formula.Parse("(mrc + dmrc)*(1 + (ra - 1.2)*(1/rw - 1/rr)) - 100000", [.. inputs.Select(input => input.Name)]), inputs);
    }

    /// <summary>Sum of inputs of standard uncertainties as given, each with mean 0.</summary>
    public static MeasurementModel Sum(Distribution distribution, params double[] uncertainties) => MeasurementModel.Sum(
        [.. uncertainties.Select((u, i) => new UncertaintyInput($"x{i}", 0, u, 1, double.PositiveInfinity, distribution))]);
}
