using Barostep.Safety;

namespace Barostep.Tests.Safety.Budget;

/// <summary>The benches of the worked figures, in SI units.</summary>
internal static class Benches
{
    public const double Atmosphere = 101_325;
    public const double Bar = 100_000;

    /// <summary>1 dm³/(s·bar) in m³/(s·Pa).</summary>
    public const double ConductanceUnit = 1e-8;

    public const double Litre = 1e-3;

    public static double Gauge(double bar) => Atmosphere + (bar * Bar);

    public static IReadOnlyList<LimitContribution> Limits(double ceilingPascals) =>
        [new LimitContribution("operator", Pressure.FromPascals(ceilingPascals), Pressure.FromPascals(80_000), "heating-workshop.toml:14")];

    public static GuardTiming Timing(double baud, double usbSeconds = 0.001) => new()
    {
        PollPeriodSeconds = 0.050,
        RequestBytes = 10,
        ReplyBytes = 20,
        CommandBytes = 12,
        Baud = baud,
        TurnaroundSeconds = 0.005,
        UsbLatencySeconds = usbSeconds,
        ConversionAgeSeconds = 0.020,
        SensorLagSeconds = 0.020,
        ExecutionSeconds = 0.020,
        ValveDeadSeconds = 0.020,
        ValveCloseSeconds = 0.010,
        JitterSeconds = 0.010,
        MissedReplies = 1,
    };

    /// <summary>Supply 10 bar gauge, no trapped gas, an exact reference: the bench of the tables.</summary>
    public static BudgetInputs Table(double conductance, double millilitres, double baud, double usbSeconds = 0.001) => new()
    {
        Gas = "air",
        SupplyMaximumPascals = Gauge(10),
        FillConductance = conductance * ConductanceUnit,
        FillCriticalRatio = 0.35,
        DumpConductance = 0.1 * ConductanceUnit,
        DumpCriticalRatio = 0.35,
        VolumeMinimum = millilitres * Litre / 1000,
        VolumeMaximum = millilitres * Litre / 1000,
        TrappedVolume = 0,
        AtmospherePascals = Atmosphere,
        Limits = Limits(Gauge(0)),
        SetPointMaximumPascals = 100_000,
        ControlMarginPascals = 1000,
        ReferenceUncertaintyPascals = 0,
        Parts = [new RatedPart("manifold", Gauge(9), 0, "label")],
        Relief = null,
        Switch = null,
        KeepAlive = new KeepAliveRelay(0.500, 1, 0.015),
        Timing = Timing(baud, usbSeconds),
    };

    /// <summary>0.2 mm restrictor, 50 mL, weakest part 9.0 bar gauge, set points to 6.0, ceiling 6.3.</summary>
    public static BudgetInputs Worked(double conductance = 0.005, double millilitres = 50) => Table(conductance, millilitres, 9600) with
    {
        TrappedVolume = 0.2e-6,
        Limits =
        [
            .. Limits(Gauge(6.3)),
            new LimitContribution("range of the reference", Pressure.FromPascals(Gauge(10)), Pressure.Vacuum, "data sheet"),
        ],
        SetPointMaximumPascals = Gauge(6.0),
        ControlMarginPascals = 0.13 * Bar,
        ReferenceUncertaintyPascals = 0.02 * Bar,
        Parts = [new RatedPart("hose", Gauge(12), 0, "label"), new RatedPart("pump-station transmitter", Gauge(9), 0, "device file")],
        Relief = new ReliefValve("RV-1", 7.5 * Bar, 0.03, 0.05 * ConductanceUnit, "2026-03-02"),
        Switch = new PressureSwitch("PS-1", 6.95 * Bar, 0.015, 0.065),
    };
}
