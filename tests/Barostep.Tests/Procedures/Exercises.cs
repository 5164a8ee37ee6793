using Barostep.Configuration;
using Barostep.Procedures;
using Barostep.Safety;

namespace Barostep.Tests.Procedures;

/// <summary>A transmitter and a procedure of round numbers: 1 % of the span is 16 kPa.</summary>
internal static class Exercises
{
    public const double SpanPascals = 1_600_000;

    public static readonly Pressure Atmosphere = Pressure.FromPascals(100_000);

    public static readonly DeviceDefinition Transmitter = new()
    {
        Name = "flow-line-transmitter",
        Title = "Flow line pressure transmitter",
        Manufacturer = "Workshop stock",
        Model = "PT-16",
        SerialNumber = "DH-0522",
        Tag = "PT-101",
        RangeFrom = Gauge(0m),
        RangeTo = Gauge(16m),
        Rating = Gauge(30m),
        Floor = Gauge(-1m),
        ToleranceOfSpan = 0.005,
        Output = DeviceOutput.Current,
        OutputFrom = 0.004,
        OutputTo = 0.020,
    };

    public static readonly StabilityCriterion Settle =
        new(0.0005, 1_000_000, 0.0001, 2_000_000, 60_000_000, TimeoutPolicy.Flag);

    /// <summary>0, 50 and 100 % up and down, and nothing else.</summary>
    public static readonly Procedure UpAndDown = new()
    {
        Name = "three-up-three-down",
        Title = "Three points up and down",
        PointsOfSpan = [0, 0.5, 1],
        Descending = true,
        Cycles = 1,
        Preloads = 0,
        PreloadHoldMicros = 3_000_000,
        ReadZero = false,
        RateOfSpanPerSecond = 0.1,
        Settle = Settle,
        Samples = 3,
        SampleIntervalMicros = 200_000,
        OvershootOfSpan = 0.002,
        OnOvershoot = OvershootPolicy.Again,
    };

    /// <summary>Rises to the middle of the span and reads there.</summary>
    public static readonly Procedure TwoPoints = UpAndDown with { PointsOfSpan = [0, 0.5], Descending = false };

    public static RunPlan Plan(Procedure procedure, DeviceDefinition? device = null) =>
        RunPlan.For(procedure, device ?? Transmitter, Atmosphere);

    /// <summary>Position in the plan of a point of the series, counted from 0.</summary>
    public static int StepOf(this RunPlan plan, int point) =>
        plan.Steps.Select((step, index) => (step, index)).Where(s => s.step.Kind == StepKind.Point).ElementAt(point).index;

    /// <summary>Absolute target of a point of the series, counted from 0.</summary>
    public static Pressure TargetOf(this RunPlan plan, int point) => plan.Steps[plan.StepOf(point)].Target;

    public static StatedPressure Gauge(decimal bar) => new(bar, PressureUnit.Bar, PressureReference.Gauge);

    public static double Share(this RunPlan plan, Pressure target) => plan.InDeviceReference(target) / plan.Device.SpanPascals;
}
