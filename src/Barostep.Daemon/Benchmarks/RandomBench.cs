using Barostep.Configuration;
using Barostep.Control;
using Barostep.Safety;
using Barostep.Simulators;

namespace Barostep.Daemon.Benchmarks;

/// <summary>A bench drawn at random: what its file would say, and a simulated plant that keeps to it.</summary>
/// <param name="Definition">As a bench's file would have it.</param>
/// <param name="Description">The plant, made from the same figures.</param>
/// <param name="Limits">What its kernel compares with.</param>
/// <param name="Report">What is predicted for it.</param>
internal sealed record RandomBench(BenchDefinition Definition, BenchDescription Description, SafetyLimits Limits, OvershootReport Report)
{
    /// <summary>A command to the source takes effect at the next turn of its own loop, every 10 ms, and the plant moves in steps of 1 ms.</summary>
    private const double SourceCycleSeconds = 0.012;

    private const double Bar = 100_000;
    private const double Atmosphere = 101_325;
    private const double RoomKelvin = 293.15;

    // Far beyond what any of these benches does, so that only the check under test stops the fill.
    private const long OutOfTheWay = long.MaxValue / 1000;

    /// <summary>Draws a bench.</summary>
    /// <param name="random">Its source.</param>
    /// <param name="workshop">Whose instruments it is fitted with.</param>
    public static RandomBench Draw(Random random, WorkshopConfiguration workshop)
    {
        BenchDefinition definition = Define(random, workshop);
        SafetyLimits limits = BenchSafety.LimitsFor(definition, null, SourceMap.Empty);
        OvershootReport report = OvershootBudget.Evaluate(BenchBudget.InputsFor(definition, null, SourceMap.Empty, DateOnly.MinValue));
        return new RandomBench(definition, Describe(random, definition), WithoutEarlierStops(limits), report);
    }

    /// <summary>
    /// The budget credits nothing but the ceiling and the age of a reading. What would stop the fill sooner (the trend,
    /// the rate, the comparison with the source's own sensor, a hold for a late reading) is set out of the way here.
    /// </summary>
    private static SafetyLimits WithoutEarlierStops(SafetyLimits limits) => limits with
    {
        HorizonMicros = 0,
        AgreementTolerance = new PressureDifference(OutOfTheWay),
        ReferenceLateAfterMicros = limits.ReferenceStaleAfterMicros,
    };

    private static BenchDefinition Define(Random random, WorkshopConfiguration workshop)
    {
        double supply = Between(random, 8, 20);
        double ceiling = supply * Between(random, 0.1, 0.7);
        double volume = LogBetween(random, 20e-6, 500e-6);
        string gas = FillGas.All[random.Next(FillGas.All.Count)].Name;
        double rate = LogBetween(random, 0.2, 4) * Bar;
        double fill = rate * volume / (FillGas.Find(gas, out _)!.RateFactor * FillGas.AirHeatRatio * FillGas.ReferencePascals * (Atmosphere + (supply * Bar)));
        string reference = random.Next(2) == 0 ? "fixed-indicator" : "text-indicator";
        double wide = 100 * rate;
        return new BenchDefinition
        {
            Name = "random",
            Title = "Drawn at random",
            Atmosphere = new StatedPressure((decimal)Atmosphere, PressureUnit.Pascal, PressureReference.Absolute),
            Ceiling = Gauge(ceiling),
            Floor = Gauge(-0.5),
            MaxRatePascalsPerSecond = wide,
            PeriodMicros = random.Next(20, 51) * 1000,
            LatenessMicros = random.Next(10, 91) * 1000,
            Parts = [new BenchPart("manifold", Gauge(100), Gauge(-1), wide)],
            GasPath = new GasPath(
                gas, Gauge(supply), volume, volume, new FlowPath(fill, Between(random, 0.2, 0.5)), new FlowPath(fill * Between(random, 5, 20), 0.3), 0)
            {
                SupplyTemperatureKelvin = RoomKelvin,
            },
            Source = new FittedInstrument(workshop.Instruments["text-controller"], "controller", Baud(random), null, 0),
            Reference = new FittedInstrument(workshop.Instruments[reference], "reference", Baud(random), null, 50),
            Reaction = new ReactionTimes
            {
                ConversionAge = random.Next(5, 51) / 1000.0,
                SensorLag = random.Next(5, 61) / 1000.0,
                TubingLag = 0,
                Turnaround = random.Next(1, 6) / 1000.0,
                AdapterLatency = 0,
                ValveDead = SourceCycleSeconds + (random.Next(2, 21) / 1000.0),
                ValveClose = random.Next(5, 41) / 1000.0,
            },
        };
    }

    private static BenchDescription Describe(Random random, BenchDefinition bench)
    {
        ReactionTimes times = bench.Reaction;
        long dead = Micros(times.ValveDead - SourceCycleSeconds);
        long travel = Micros(times.ValveClose);
        return new BenchDescription
        {
            Name = bench.Name,
            Plant = new PlantDescription
            {
                Gas = bench.GasPath.Gas,
                AtmospherePa = Atmosphere,
                AmbientTemperatureK = RoomKelvin,
                VolumeM3 = bench.GasPath.VolumeMinimum,
                WallConductance = LogBetween(random, 0.001, 0.1),
                SupplyPa = bench.GasPath.SupplyMaximum.ToAbsolute(Pressure.FromPascals(Atmosphere)).Pascals,
                Fill = new ValveDescription(bench.GasPath.Fill.Conductance, bench.GasPath.Fill.CriticalRatio, dead, travel),
                Vent = new ValveDescription(bench.GasPath.Vent.Conductance, bench.GasPath.Vent.CriticalRatio, dead, travel),
            },
            Instruments =
            [
                Instrument(InstrumentKind.Controller, bench.Source!, times) with { UpdateMicros = 10_000, LagMicros = 10_000 },
                Instrument(InstrumentKind.Reference, bench.Reference, times) with
                {
                    UpdateMicros = Micros(times.ConversionAge),
                    LagMicros = Micros(times.SensorLag),
                },
            ],
        };
    }

    private static InstrumentDescription Instrument(InstrumentKind kind, FittedInstrument fitted, ReactionTimes times) => new()
    {
        Kind = kind,
        Port = fitted.Port,
        Dialect = fitted.Definition.Name.StartsWith("fixed", StringComparison.Ordinal) ? Dialect.FixedWidth : Dialect.Text,
        Address = 7,
        Serial = "00000001",
        Baud = fitted.Baud!.Value,
        TurnaroundMicros = Micros(times.Turnaround),
        NoisePa = 5,
    };

    private static StatedPressure Gauge(double bar) => new((decimal)Math.Round(bar, 4), PressureUnit.Bar, PressureReference.Gauge);

    private static int Baud(Random random) => new[] { 9600, 19200, 38400, 115200 }[random.Next(4)];

    private static double Between(Random random, double low, double high) => low + ((high - low) * random.NextDouble());

    private static double LogBetween(Random random, double low, double high) => low * Math.Pow(high / low, random.NextDouble());

    private static long Micros(double seconds) => (long)Math.Round(seconds * 1e6);
}
