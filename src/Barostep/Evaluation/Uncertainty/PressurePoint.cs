namespace Barostep.Evaluation.Uncertainty;

/// <summary>What is known of one point of a pressure calibration, from which its budget is made; all in Pa.</summary>
/// <remarks>
/// Error of indication E = p_ind − p_ref + Σ δ (EURAMET cg-17 and DKD-R 6-1 for the contributions of the device). What is
/// left at 0 makes no line. A full width (resolution, f₀, b′, h) is rectangular with half of it as half-width.
/// </remarks>
public sealed record PressurePoint
{
    /// <summary>Mean indication.</summary>
    public required double Indication { get; init; }

    /// <summary>Reference value with all corrections.</summary>
    public required double Reference { get; init; }

    /// <summary>U of the reference's certificate at this pressure.</summary>
    public required double ReferenceExpanded { get; init; }

    /// <summary>k that it is stated with.</summary>
    public double ReferenceCoverageFactor { get; init; } = 2;

    /// <summary>Half-width of what the reference may have drifted since its calibration.</summary>
    public double ReferenceDrift { get; init; }

    /// <summary>One step of the reference's display.</summary>
    public double ReferenceResolution { get; init; }

    /// <summary>Standard uncertainty of the head correction.</summary>
    public double Head { get; init; }

    /// <summary>Standard uncertainty of the atmosphere, where gauge and absolute are compared.</summary>
    public double Atmosphere { get; init; }

    /// <summary>Half-width of what the temperature may have changed in the device.</summary>
    public double Temperature { get; init; }

    /// <summary>Half-width of the multimeter's permitted error, brought to Pa by the device's sensitivity.</summary>
    public double Multimeter { get; init; }

    /// <summary>Standard uncertainty of the shunt resistor, brought to Pa likewise.</summary>
    public double Shunt { get; init; }

    /// <summary>One step of the device's display, or the step to which a pointer is read.</summary>
    public double DeviceResolution { get; init; }

    /// <summary>f₀: difference of the zero readings before and after.</summary>
    public double ZeroDeviation { get; init; }

    /// <summary>b′: largest difference among cycles in one direction.</summary>
    public double Repeatability { get; init; }

    /// <summary>h: difference between descending and ascending.</summary>
    public double Hysteresis { get; init; }

    /// <summary>Experimental standard deviation of one error while the point was read; needs <see cref="Samples"/> of at least 2.</summary>
    public double Stability { get; init; }

    /// <summary>Half-width for what was left of the device's settling over the reading; 0 where nothing is known of it.</summary>
    public double Settling { get; init; }

    /// <summary>Half-width for the time in which a switch's contact changed, at the rate of its ramp.</summary>
    public double ContactInterval { get; init; }

    /// <summary>Half-width for the reference's lag behind a ramp.</summary>
    public double ReferenceLag { get; init; }

    /// <summary>How many samples the mean is of.</summary>
    public int Samples { get; init; }

    /// <summary>The model E = p_ind − p_ref + Σ δ, ready for a budget or a Monte Carlo run.</summary>
    public MeasurementModel Model()
    {
        UncertaintyInput?[] inputs =
        [
            UncertaintyInput.FromLimits("indication, resolution", Indication, DeviceResolution / 2, 1, Distribution.Rectangular),
            UncertaintyInput.FromExpanded("reference, calibration", Reference, ReferenceExpanded, ReferenceCoverageFactor, -1),
            Limits("reference, drift", ReferenceDrift, -1),
            Limits("reference, resolution", ReferenceResolution / 2, -1),
            Head == 0 ? null : new("head", 0, Head, -1, double.PositiveInfinity, Distribution.Normal),
            Atmosphere == 0 ? null : new("atmosphere", 0, Atmosphere, -1, double.PositiveInfinity, Distribution.Normal),
            Limits("temperature", Temperature, 1),
            Limits("multimeter", Multimeter, 1),
            Shunt == 0 ? null : new("shunt", 0, Shunt, 1, double.PositiveInfinity, Distribution.Normal),
            Limits("zero deviation", ZeroDeviation / 2, 1),
            Limits("repeatability", Repeatability / 2, 1),
            Limits("hysteresis", Hysteresis / 2, 1),
            Limits("settling", Settling, 1),
            Limits("contact, reading interval", ContactInterval, -1),
            Limits("reference, lag on the ramp", ReferenceLag, -1),
            Stability == 0 ? null : new("stability while reading", 0, Stability / Math.Sqrt(Samples), 1, Samples - 1, Distribution.StudentT),
        ];
        return MeasurementModel.Sum([.. inputs.OfType<UncertaintyInput>().Select(input => input with { Unit = "Pa" })]);
    }

    private static UncertaintyInput? Limits(string name, double halfWidth, double sensitivity) =>
        halfWidth == 0 ? null : UncertaintyInput.FromLimits(name, 0, halfWidth, sensitivity, Distribution.Rectangular);
}
