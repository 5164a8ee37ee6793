using Barostep.Configuration;
using Barostep.Control;
using Barostep.Daemon.Sweeps;
using Barostep.Procedures;
using Barostep.Safety;
using Barostep.Simulators;
using Barostep.Simulators.Instruments;

namespace Barostep.Daemon.Simulation;

/// <summary>
/// The bench of the simulated world: the shipped demo bench and its instruments, made small so that a whole run takes
/// about a minute of its time, with a few figures drawn anew for each seed.
/// </summary>
internal sealed record WorldSetup
{
    private const double Bar = 1e5;

    /// <summary>The day on which every world begins.</summary>
    private static readonly DateOnly Today = DateOnly.FromDateTime(new WorldClock().WallAt(0).UtcDateTime);

    public required BenchDefinition Bench { get; init; }

    public required DeviceDefinition Device { get; init; }

    /// <summary>What the run under test does.</summary>
    public required Procedure Procedure { get; init; }

    /// <summary>What a person runs at the end, when everything is mended.</summary>
    public required Procedure LastProcedure { get; init; }

    public required SourceMap Origins { get; init; }

    /// <summary>The other end of the lines: gas, valves, instruments.</summary>
    public required BenchDescription Simulated { get; init; }

    /// <summary>The limits with the device on the bench, as the program computes them.</summary>
    public required SafetyLimits Limits { get; init; }

    /// <summary>The limits of the bench alone.</summary>
    public required SafetyLimits BareLimits { get; init; }

    /// <summary>Makes the bench of one seed.</summary>
    /// <param name="workshop">The shipped configuration.</param>
    /// <param name="demo">The shipped simulated bench of the name <c>demo</c>.</param>
    /// <param name="random">Draws what varies.</param>
    /// <param name="onePoint">Takes the shortest procedure instead of the drawn one.</param>
    public static WorldSetup Draw(WorkshopConfiguration workshop, BenchDescription demo, Pcg32 random, bool onePoint)
    {
        decimal ceilingBar = 2.4m + (0.1m * random.NextBelow(8));
        decimal spanBar = 1.6m + (0.1m * random.NextBelow(5));
        long lateness = random.NextBelow(4) == 0 ? workshop.Benches["demo"].LatenessMicros : BenchDefinition.SharedProcessLatenessMicros;
        double maxRate = random.NextBelow(3) == 0 ? 2 * Bar : 0.5 * Bar;
        BenchDefinition bench = workshop.Benches["demo"] with
        {
            Ceiling = Gauge(ceilingBar),
            LatenessMicros = lateness,
            SetPointMargin = PressureDifference.FromPascals(0.15 * Bar),
            MaxRatePascalsPerSecond = maxRate,
            Protection = workshop.Benches["demo"].Protection with
            {
                ReliefValve = workshop.Benches["demo"].Protection.ReliefValve! with { SetPressure = Gauge(7) },
            },
        };
        DeviceDefinition device = workshop.Devices["transmitter-16bar"] with
        {
            RangeFrom = Gauge(0),
            RangeTo = Gauge(spanBar),
            Rating = Gauge(12),
        };
        Procedure procedure = Short(workshop.Procedures["five-point"], random);
        SourceMap origins = workshop.Origins;
        return new WorldSetup
        {
            Bench = bench,
            Device = device,
            Procedure = onePoint ? OnePoint(procedure, "short", 0.9) : procedure,
            LastProcedure = OnePoint(procedure, "last", 0.5),
            Origins = origins,
            Simulated = demo with
            {
                Plant = demo.Plant with { ReliefPa = demo.Plant.AtmospherePa + (7 * Bar) },
                Transmitter = demo.Transmitter! with { UpperPa = (double)spanBar * Bar },
            },
            Limits = BenchSafety.LimitsFor(bench, device, origins),
            BareLimits = BenchSafety.LimitsFor(bench, null, origins),
        };
    }

    /// <summary>A run of this bench.</summary>
    public SweepJob JobOf(Procedure procedure, string runId) => new(Bench, Device, procedure, Origins, runId, Simulated: true)
    {
        Standards = StandardsInUse.Record(Bench, Today, allowance: null),
    };

    private static Procedure OnePoint(Procedure procedure, string name, double share) => procedure with
    {
        Name = name,
        PointsOfSpan = [share],
        Descending = false,
        Preloads = 0,
        LeakTest = null,
        ReadZero = false,
    };

    private static Procedure Short(Procedure shipped, Pcg32 random)
    {
        IReadOnlyList<double>[] points = [[0, 1], [0.4, 1], [0, 0.5, 1], [0.3, 0.9]];
        bool leakTested = random.NextBelow(4) == 0;
        return shipped with
        {
            Name = "short",
            PointsOfSpan = points[random.NextBelow(points.Length)],
            Descending = random.NextBelow(3) > 0,
            Preloads = random.NextBelow(4) == 0 ? 1 : 0,
            PreloadHoldMicros = 500_000,
            RateOfSpanPerSecond = 0.2,
            LeakTest = leakTested ? new LeakTest(0.8, 1_000_000, 3_000_000, 0.2) : null,
            ReadZero = random.NextBelow(2) == 0,
            Samples = 3,
            SampleIntervalMicros = 200_000,
            Settle = new StabilityCriterion(0.002, 1_000_000, 0.002, 1_200_000, 10_000_000, TimeoutPolicy.Flag),
            OvershootOfSpan = 0.005,
        };
    }

    private static StatedPressure Gauge(decimal bar) => new(bar, PressureUnit.Bar, PressureReference.Gauge);
}
