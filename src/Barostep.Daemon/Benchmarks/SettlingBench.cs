using Barostep.Simulators;
using Barostep.Simulators.Instruments;

namespace Barostep.Daemon.Benchmarks;

/// <summary>A bench and a device drawn at random for the settling benchmark. SI units.</summary>
internal sealed record SettlingBench
{
    public required PlantDescription Plant { get; init; }

    /// <summary>Gauge span of the device, from 0.</summary>
    public required double SpanPascals { get; init; }

    public required double ToleranceOfSpan { get; init; }

    public required double RateOfSpanPerSecond { get; init; }

    /// <summary>Whether the source is shut after arrival and only trims, or regulates all the time.</summary>
    public required bool ShutsIn { get; init; }

    public required double SourceNoisePascals { get; init; }

    public required double ReferenceNoisePascals { get; init; }

    public required double ReferenceLagSeconds { get; init; }

    public required double DeviceNoisePascals { get; init; }

    public required double DeviceLagSeconds { get; init; }

    /// <summary>Share of a step by which the device stays behind at first, and the time in which that passes.</summary>
    public required double AfterEffect { get; init; }

    public required double AfterEffectSeconds { get; init; }

    public required DeviceErrors Errors { get; init; }

    public double BandPascals => 0.0005 * SpanPascals;

    public double TolerancePascals => ToleranceOfSpan * SpanPascals;

    public static SettlingBench Draw(Pcg32 random)
    {
        double span = Choice(random, [1e5, 6e5, 10e5, 16e5, 40e5]);
        double tolerance = Choice(random, [0.001, 0.0025, 0.005, 0.01]);
        double volume = LogBetween(random, 10e-6, 2e-3);
        double thermal = LogBetween(random, 0.5, 60);
        double rate = LogBetween(random, 0.01, 0.1);
        Pneumatics gas = new(volume, span, rate);
        return new SettlingBench
        {
            Plant = gas.Plant(thermal, random.NextUnit() < 0.3 ? LogBetween(random, 1e-7, 5e-5) : 0),
            SpanPascals = span,
            ToleranceOfSpan = tolerance,
            RateOfSpanPerSecond = rate,
            ShutsIn = random.NextUnit() < 0.4,
            SourceNoisePascals = span * LogBetween(random, 1e-6, 3e-5),
            ReferenceNoisePascals = span * LogBetween(random, 1e-6, 5e-5),
            ReferenceLagSeconds = LogBetween(random, 0.005, 0.1),
            DeviceNoisePascals = span * LogBetween(random, 1e-6, 0.05 * tolerance),
            DeviceLagSeconds = LogBetween(random, 0.02, 3),
            AfterEffect = random.NextUnit() < 0.4 ? 0.003 * random.NextUnit() : 0,
            AfterEffectSeconds = LogBetween(random, 3, 60),
            Errors = new DeviceErrors(
                ZeroPercent: 100 * tolerance * (random.NextUnit() - 0.5),
                SpanPercent: 100 * tolerance * (random.NextUnit() - 0.5),
                HysteresisPercent: 50 * tolerance * random.NextUnit(),
                LinearityPercent: 50 * tolerance * (random.NextUnit() - 0.5)),
        };
    }

    private static double LogBetween(Pcg32 random, double low, double high) => low * Math.Pow(high / low, random.NextUnit());

    private static double Choice(Pcg32 random, double[] values) => values[(int)(random.NextUnit() * values.Length)];

    /// <summary>Valves and wall that make a volume do what was drawn.</summary>
    private readonly record struct Pneumatics(double Volume, double Span, double Rate)
    {
        private const double Atmosphere = 101_325;
        private const double Room = 293.15;

        // Nitrogen, with the reference density of ISO 8778.
        private const double GasConstant = 296.8;
        private const double Cv = 742.6;
        private const double ReferenceDensity = 1.185;

        public PlantDescription Plant(double thermalSeconds, double leakOfSpanPerSecond)
        {
            double supply = (1.25 * Span) + (2 * Atmosphere);
            double perConductance = ReferenceDensity * GasConstant * Room / Volume;
            double middle = Atmosphere + (0.5 * Span);
            double mass = middle * Volume / (GasConstant * Room);
            return new PlantDescription
            {
                Gas = "nitrogen",
                VolumeM3 = Volume,
                SupplyPa = supply,
                // Four times what the rate needs, so that the source can follow it.
                Fill = new ValveDescription(4 * Rate * Span / (supply * perConductance), 0.35),
                Vent = new ValveDescription(4 * Rate * Span / (Atmosphere * perConductance), 0.35),
                WallConductance = mass * Cv / thermalSeconds,
                WallHeatCapacity = 1000 * mass * Cv,
                AmbientConductance = mass * Cv / thermalSeconds,
                LeakConductance = leakOfSpanPerSecond * Span / (middle * perConductance),
            };
        }
    }
}
