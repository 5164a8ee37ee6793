using Barostep.Configuration;
using Barostep.Control;
using Barostep.Daemon.Commands;
using Barostep.Daemon.Sweeps;
using Barostep.Evaluation;
using Barostep.Evaluation.Switching;
using Barostep.Records;
using Barostep.Safety;
using Barostep.Simulators;
using Barostep.Tests.Configuration;

namespace Barostep.Tests.EndToEnd;

/// <summary>A gauge of compound range, a transmitter and a switch in one run, on virtual time; made once for all tests.</summary>
public sealed class ManifoldRun
{
    /// <summary>Where the simulated contact changes, Pa gauge, without scatter.</summary>
    public const double Trip = 302_000;
    public const double Reset = 258_000;

    public ManifoldRun()
    {
        WorkshopConfiguration workshop = ShippedConfiguration.Load().Configuration;
        Job = SweepCommands.Prepare(workshop, "manifold", "switch-3bar,gauge-compound,transmitter-6bar", "compound-manifold", "0198c0de-shared", simulated: true, allowance: null);
        BenchDescription bench = BenchFile.Load("manifold") with { Switch = new SwitchDescription(Trip, Reset, 0) };
        var simulated = new SimulatedBench(bench.WithDeviceErrors(new DeviceErrors(0.2, -0.1)), seed: 3);
        simulated.SampleTruth(10_000, truth => (LowestTrue, HighestTrue) = (Math.Min(LowestTrue, truth.PressurePa), Math.Max(HighestTrue, truth.PressurePa)));
        using var place = new EmbeddedPlace(Job, simulated, null, VirtualRun.Started);
        var run = new SweepRun(Job, place.Bench, VirtualRun.Started, simulated.NowMicros, []);
        run.Begin(simulated.NowMicros);
        RunRecord leading = place.Pass(run, new OperatorSignals(CancellationToken.None, CancellationToken.None));
        Limits = place.Bench.Limits;
        Results = [.. run.RecordsBeside(simulated.NowMicros).Prepend(leading).Select(RunEvaluation.Evaluate)];
    }

    internal SweepJob Job { get; }

    public SafetyLimits Limits { get; }

    /// <summary>Gauge, transmitter, switch.</summary>
    public IReadOnlyList<RunResult> Results { get; }

    public double LowestTrue { get; private set; } = double.MaxValue;

    public double HighestTrue { get; private set; }
}

public sealed class ManifoldRunTests(ManifoldRun run) : IClassFixture<ManifoldRun>
{
    private RunResult Gauge => run.Results[0];

    private RunResult Transmitter => run.Results[1];

    private RunResult Switch => run.Results[2];

    [Fact]
    public void Every_device_has_a_run_of_its_own_that_is_complete_and_judged()
    {
        Assert.Equal(["gauge-compound", "transmitter-6bar", "switch-3bar"], run.Results.Select(result => result.Record.Device.Name));
        Assert.All(run.Results, result => Assert.Equal((RunOutcome.Completed, Conformity.Passed), (result.Record.Outcome, result.Conformity)));
        Assert.Equal(3, run.Results.Select(result => result.Record.Id).Distinct().Count());
        Assert.Equal([14, 10, 6], run.Results.Select(result => result.Points.Count));
    }

    [Fact]
    public void Each_record_names_the_runs_that_shared_its_pressure() => Assert.All(run.Results, result => Assert.Equal(
        run.Results.Where(other => other != result).Select(other => new SharedRun(other.Record.Device.Name, other.Record.Id)),
        result.Record.Arrangement.SharedWith));

    [Fact]
    public void The_devices_are_read_at_the_same_time_at_the_points_that_both_have()
    {
        foreach (PointRecord point in Transmitter.Record.Points)
        {
            PointRecord same = Gauge.Record.Points.Single(other => other.Direction == point.Direction && Math.Abs(other.NominalPascals - point.NominalPascals) < 1);
            Assert.Equal((same.RequestedMicros, same.SettledMicros), (point.RequestedMicros, point.SettledMicros));
        }
    }

    [Fact]
    public void Each_device_errs_by_what_was_put_into_it()
    {
        // 0.2 % of span at the lower end, and 0.1 % less at the upper.
        foreach (RunResult result in new[] { Gauge, Transmitter })
        {
            Assert.All(result.Points, point =>
            {
                double share = (point.NominalPascals - result.Record.Device.FromPascals) / result.Record.Device.SpanPascals;
                double expected = 0.002 - (0.001 * share);
                // The gauge shows steps of 1 mbar, and the simulated reference errs a little.
                Assert.Equal(result == Gauge ? Expected(point) : expected, point.Values!.ErrorOfSpan, 0.0004);
            });
        }

        // Of the simulated gauge the range begins at -1 bar.
        static double Expected(PointResult point) => (0.002 - (0.001 * (point.NominalPascals + 100_000) / 700_000)) * 700_000 / 690_000;
    }

    [Fact]
    public void The_trip_and_reset_points_are_found_within_their_uncertainty()
    {
        Assert.All(Switch.Points, point =>
        {
            double truth = point.Direction == SeriesDirection.Ascending ? ManifoldRun.Trip : ManifoldRun.Reset;
            Assert.Equal(truth, point.Values!.ReferencePascals, point.Uncertainty!.Value);
        });
        SwitchResult switching = Switch.Switching!;
        Assert.Equal(ManifoldRun.Trip - ManifoldRun.Reset, switching.Deadband!.Value, 100.0);
    }

    [Fact]
    public void The_pressure_crosses_zero_both_ways_and_keeps_to_floor_and_ceiling()
    {
        Assert.InRange(run.LowestTrue, run.Limits.EffectiveFloor.Pascals, run.Limits.Atmosphere.Pascals - 85_000);
        Assert.InRange(run.HighestTrue, run.Limits.Atmosphere.Pascals + 595_000, run.Limits.EffectiveCeiling.Pascals);
        Assert.Equal(
            [-90_000, -45_000, 0, 150_000],
            Gauge.Record.Points.Take(4).Select(point => Math.Round(point.NominalPascals)));
        Assert.All(Gauge.Record.Points, point => Assert.False(point.Marks.HasFlag(PointMarks.WrongApproach)));
    }

    [Fact]
    public void Each_has_a_certificate_of_its_own()
    {
        Laboratory laboratory = run.Job.Laboratory!;
        string[] serials = [.. run.Results.Select(result => Barostep.Certificates.RunCertificate.Draft([result], laboratory, []).Item.SerialNumber)];

        Assert.Equal(["DH-06-0311", "DH-06-0288", "DH-SW-0057"], serials);
    }
}
