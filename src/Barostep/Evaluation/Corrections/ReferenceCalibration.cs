using Barostep.Evaluation.Uncertainty;

namespace Barostep.Evaluation.Corrections;

/// <summary>What the certificate of a reference standard, or of a multimeter, says; all in one unit.</summary>
/// <param name="Correction">To be added to an indication.</param>
/// <param name="ExpandedUncertainty">U of the certificate, the part that does not grow with the reading.</param>
/// <param name="ExpandedOfReading">And the part that does, as a share of the reading.</param>
/// <param name="CoverageFactor">k that both are stated with.</param>
/// <param name="DriftPerYear">Largest drift in a year to either side, from the instrument's history or data sheet.</param>
/// <param name="CalibratedOn">Date of the calibration.</param>
/// <param name="DueOn">Last day on which it may be used; null where none is set.</param>
public sealed record ReferenceCalibration(
    CorrectionCurve Correction,
    double ExpandedUncertainty,
    double ExpandedOfReading,
    double CoverageFactor,
    double DriftPerYear,
    DateOnly CalibratedOn,
    DateOnly? DueOn)
{
    private const double DaysPerYear = 365.25;

    public double Corrected(double indication) => Correction.Corrected(indication);

    /// <summary>Whether the calibration may no longer be used on a day; on the due day itself it may.</summary>
    public bool IsOverdue(DateOnly on) => on > DueOn;

    /// <summary>Half-width of what may have drifted by a day; a day before the calibration counts as none.</summary>
    public double Drift(DateOnly on) => DriftPerYear * Math.Max(0, on.DayNumber - CalibratedOn.DayNumber) / DaysPerYear;

    /// <summary>Calibration (normal, U/k) and drift (rectangular) as lines of a budget (GUM 4.3.3 and 4.3.7).</summary>
    /// <param name="sensitivity">Of the output by the reference; −1 for an error of indication.</param>
    public IReadOnlyList<UncertaintyInput> Inputs(string name, double indication, DateOnly on, double sensitivity) =>
    [
        UncertaintyInput.FromExpanded(
            $"{name} calibration", Corrected(indication), ExpandedUncertainty + (ExpandedOfReading * Math.Abs(indication)), CoverageFactor, sensitivity),
        UncertaintyInput.FromLimits($"{name} drift", 0, Drift(on), sensitivity, Distribution.Rectangular),
    ];
}
