using System.Globalization;
using Barostep.Configuration;
using Barostep.Control;
using Barostep.Daemon.Sweeps;
using Barostep.Evaluation;
using Barostep.Evaluation.Decisions;
using Barostep.Procedures;
using Barostep.Records;
using Barostep.Simulators;
using Barostep.Simulators.Instruments;

namespace Barostep.Daemon.Benchmarks;

/// <summary>One point of a device whose truth is known.</summary>
/// <param name="MissedPascals">Stated error less true error, Pa.</param>
/// <param name="ExpandedPascals">Stated U, Pa.</param>
/// <param name="Accepted">By the agreed rule.</param>
/// <param name="Conforms">In truth.</param>
/// <param name="StatedRisk">Probability of a wrong decision that was stated with it.</param>
internal readonly record struct CoveredPoint(double MissedPascals, double ExpandedPascals, bool Accepted, bool Conforms, double StatedRisk)
{
    public bool Covered => Math.Abs(MissedPascals) <= ExpandedPascals;
}

/// <summary>
/// Whether what is stated holds: random devices on the simulated bench, with standards whose own errors are drawn from what
/// their certificates say, evaluated as any run, and held against the truth.
/// </summary>
internal static class CoverageBenchmark
{
    /// <summary>Highest probability of a false accept that the rule allows at a point.</summary>
    public const double MostFalseAccept = 0.025;

    private const string Bench = "demo";
    private const string Device = "transmitter-16bar";

    public static IReadOnlyList<CoveredPoint> Points(WorkshopConfiguration workshop, ulong seed, int devices)
    {
        var results = new IReadOnlyList<CoveredPoint>[devices];
        BenchDescription description = BenchFile.Load(Bench);
        Parallel.For(0, devices, i => results[i] = OfDevice(workshop, description, seed, (ulong)i));
        return [.. results.SelectMany(points => points)];
    }

    public static void Run(TextWriter output, WorkshopConfiguration workshop, ulong seed, int devices)
    {
        long began = TimeProvider.System.GetTimestamp();
        IReadOnlyList<CoveredPoint> points = Points(workshop, seed, devices);
        CoveredPoint[] accepted = [.. points.Where(point => point.Accepted)];
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{devices} devices, {points.Count} points; U covers the true error in {points.Count(point => point.Covered) / (double)points.Count:P2}"));
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"accepted {accepted.Length}, of these wrong {accepted.Count(point => !point.Conforms) / (double)accepted.Length:P3}; stated {accepted.Average(point => point.StatedRisk):P3} on average, at most {MostFalseAccept:P1} at each"));
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"refused {points.Count - accepted.Length}, of these conforming in truth {points.Count(point => !point.Accepted && point.Conforms)}"));
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"seed {seed}, {TimeProvider.System.GetElapsedTime(began).TotalSeconds:F0} s"));
    }

    private static List<CoveredPoint> OfDevice(WorkshopConfiguration workshop, BenchDescription description, ulong seed, ulong number)
    {
        var random = new Pcg32(seed, 1_000 + number);
        BenchDefinition bench = workshop.Benches[Bench];
        DateTimeOffset started = new(2026, 11, 2, 8, 0, 0, TimeSpan.Zero);
        var day = DateOnly.FromDateTime(started.UtcDateTime);
        IReadOnlyList<StandardUse> standards = StandardsInUse.Record(bench, day, allowance: null);
        DeviceDefinition device = workshop.Devices[Device] with
        {
            // A few uncertainties wide, so that decisions near the limit are the rule and not the exception.
            ToleranceOfSpan = 0.0005,
            Decision = DecisionAgreement.PlainLimit with { Rule = AgreedRule.RiskOfThisDevice, MostFalseAccept = MostFalseAccept },
        };
        Procedure quick = workshop.Procedures["five-point"];
        var job = new SweepJob(
            bench, device, quick with { PreloadHoldMicros = 1_000_000, Settle = quick.Settle with { MinimumDwellMicros = 3_000_000 } },
            workshop.Origins, $"coverage {number}", Simulated: true)
        {
            Standards = standards,
        };
        var simulated = new SimulatedBench(Drawn(description, standards, device, day, random), (seed << 20) + number);
        using var place = new EmbeddedPlace(job, simulated, null, started);
        var truth = new TruthWatcher(simulated, device);
        var run = new SweepRun(job, place.Bench, started, place.NowMicros, [truth]);
        run.Begin(place.NowMicros);
        RunResult result = RunEvaluation.Evaluate(new VirtualSweep(run, simulated).Run(CancellationToken.None));
        return [.. result.Points.Where(point => point.Values is not null).Select(point => Covered(point, truth.Errors[point.Index], device))];
    }

    private static CoveredPoint Covered(PointResult point, double trueError, DeviceDefinition device) => new(
        point.Values!.ErrorPascals - trueError,
        point.Uncertainty!.Value,
        point.Decision!.Zone == DecisionZone.Pass,
        Math.Abs(trueError) <= device.ToleranceOfSpan * device.SpanPascals,
        point.Decision.RiskOfBeingWrong);

    /// <summary>A device with errors up to twice the tolerance, and standards that are off by what their certificates allow.</summary>
    private static BenchDescription Drawn(BenchDescription description, IReadOnlyList<StandardUse> standards, DeviceDefinition device, DateOnly day, Pcg32 random)
    {
        double tolerance = 100 * device.ToleranceOfSpan;
        // Hysteresis is small here: what is stated for it is meant for use in either direction, and would cover too much.
        var errors = new DeviceErrors(
            ZeroPercent: tolerance * Either(random),
            SpanPercent: 1.5 * tolerance * Either(random),
            HysteresisPercent: 0.004 * random.NextUnit(),
            LinearityPercent: 0.2 * tolerance * Either(random));
        ReferenceStandard pressure = standards.Single(use => use.Standard.Quantity == StandardQuantity.Pressure).Standard;
        ReferenceStandard current = standards.Single(use => use.Standard.Quantity == StandardQuantity.Current).Standard;
        double reference = (random.NextNormal() * pressure.CalibrationUncertainty(0)) + (Either(random) * Math.Sqrt(3) * pressure.DriftUncertainty(day));
        double meter = random.NextNormal();
        double drift = Either(random) * Math.Sqrt(3) * current.DriftUncertainty(day);
        return description.WithDeviceErrors(errors) with
        {
            Instruments =
            [
                .. description.WithDeviceErrors(errors).Instruments.Select(instrument => instrument.Kind switch
                {
                    // What is to be added is what the instrument is short of.
                    InstrumentKind.Reference => instrument with { OffsetPa = reference, Gain = 1 - (9.0 / 1_600_000) },
                    InstrumentKind.Multimeter => instrument with
                    {
                        OffsetA = (meter * current.ExpandedUncertainty / current.CoverageFactor) + drift,
                        GainErrorPpm = 1e6 * meter * current.ExpandedUncertaintyOfReading / current.CoverageFactor,
                    },
                    _ => instrument,
                }),
            ],
        };
    }

    private static double Either(Pcg32 random) => (2 * random.NextUnit()) - 1;

    /// <summary>Averages the true error of indication over each reading.</summary>
    private sealed class TruthWatcher(SimulatedBench bench, DeviceDefinition device) : IRunWatcher
    {
        private double _sum;
        private int _count;

        public Dictionary<int, double> Errors { get; } = [];

        public void Cycle(in BenchSnapshot snapshot, in RunProgress progress)
        {
            if (progress.Phase != RunPhase.Reading)
                return;
            TrueState truth = bench.Truth;
            _sum += Transfer.ToPascals(device, truth.TransmitterCurrentA) - (truth.PressurePa - truth.AtmospherePa);
            _count++;
        }

        public void Happened(RunEvent happened)
        {
            if (happened is RunEvent.PointRead read)
            {
                Errors[read.Point.Index] = _sum / _count;
                (_sum, _count) = (0, 0);
            }
        }
    }
}
