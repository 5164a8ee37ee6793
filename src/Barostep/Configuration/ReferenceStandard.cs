using Barostep.Evaluation.Corrections;

namespace Barostep.Configuration;

/// <summary>What a reference standard measures, and with it the unit of its figures.</summary>
public enum StandardQuantity
{
    /// <summary>In Pa.</summary>
    Pressure,

    /// <summary>In A.</summary>
    Current,

    /// <summary>In V.</summary>
    Voltage,
}

/// <summary>One row of a certificate: what must be added where the standard indicates this.</summary>
/// <param name="Indication">Pa, A or V, by the standard's quantity; a pressure in the standard's own reference.</param>
/// <param name="Correction">In the same unit: corrected value = indication + correction.</param>
public sealed record CorrectionPoint(double Indication, double Correction);

/// <summary>A reference standard as its latest certificate describes it. All figures are in Pa, A or V by its quantity.</summary>
public sealed record ReferenceStandard
{
    private const double DaysPerYear = 365.25;

    /// <summary>The name by which benches call it: the file's name without its ending.</summary>
    public required string Name { get; init; }

    public required string Title { get; init; }

    public required string Manufacturer { get; init; }

    public required string Model { get; init; }

    public required string SerialNumber { get; init; }

    public required StandardQuantity Quantity { get; init; }

    public required string CertificateNumber { get; init; }

    /// <summary>The laboratory that issued the certificate.</summary>
    public required string CalibratedBy { get; init; }

    public required DateOnly CalibratedOn { get; init; }

    /// <summary>The last day on which it may be used.</summary>
    public required DateOnly DueOn { get; init; }

    /// <summary>U of the certificate, the part that does not grow with the reading.</summary>
    public required double ExpandedUncertainty { get; init; }

    /// <summary>U, the part that does, as a share of the reading; 0 where the certificate states none.</summary>
    public required double ExpandedUncertaintyOfReading { get; init; }

    /// <summary>k that both are stated with.</summary>
    public required double CoverageFactor { get; init; }

    /// <summary>Largest drift in a year to either side; 0 where not stated.</summary>
    public required double DriftPerYear { get; init; }

    /// <summary>By rising indication; empty where the certificate gives no table.</summary>
    public required IReadOnlyList<CorrectionPoint> Corrections { get; init; }

    /// <summary>
    /// Correction = Σ c_k·indication^k, lowest power first, in Pa, A or V; empty where the certificate gives no curve. An
    /// offset is a curve of one, a gain of two coefficients. A standard has a table or a curve.
    /// </summary>
    public IReadOnlyList<double> CorrectionCoefficients { get; init; } = [];

    /// <summary>Whether the certificate corrects anything.</summary>
    public bool HasCorrection => Corrections.Count + CorrectionCoefficients.Count > 0;

    /// <summary>What is to be added to its indications.</summary>
    public CorrectionCurve Correction =>
        Corrections.Count > 0 ? new CorrectionCurve.Table([.. Corrections.Select(point => (point.Indication, point.Correction))])
        : CorrectionCoefficients.Count > 0 ? new CorrectionCurve.Polynomial(CorrectionCoefficients)
        : new CorrectionCurve.Offset(0);

    /// <summary>Whether it may no longer be used on a day; on the due day itself it may.</summary>
    public bool IsOverdue(DateOnly on) => on > DueOn;

    /// <summary>Standard uncertainty of the calibration at an indication, U/k (GUM 4.3.3).</summary>
    public double CalibrationUncertainty(double indication) =>
        (ExpandedUncertainty + (ExpandedUncertaintyOfReading * Math.Abs(indication))) / CoverageFactor;

    /// <summary>Standard uncertainty of what may have drifted by a day, rectangular (GUM 4.3.7).</summary>
    public double DriftUncertainty(DateOnly on) =>
        DriftPerYear * Math.Max(0, on.DayNumber - CalibratedOn.DayNumber) / DaysPerYear / Math.Sqrt(3);
}
