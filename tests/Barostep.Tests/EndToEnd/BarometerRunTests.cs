using Barostep.Configuration;
using Barostep.Daemon.Commands;
using Barostep.Daemon.Sweeps;
using Barostep.Evaluation;
using Barostep.Records;
using Barostep.Safety;
using Barostep.Simulators;
using Barostep.Tests.Configuration;

namespace Barostep.Tests.EndToEnd;

/// <summary>An absolute device on a gauge reference, on a day whose atmosphere is not the one in the bench's file.</summary>
public sealed class BarometerRunTests
{
    /// <summary>The bench's file states 1009.4 hPa.</summary>
    private const double TrueAtmosphere = 101_500;
    private const double StatedAtmosphere = 100_940;

    private static readonly WorkshopConfiguration Workshop = ShippedConfiguration.Load().Configuration;

    [Fact]
    public void With_a_barometer_the_device_errs_by_nothing_that_the_weather_did()
    {
        RunResult result = Run(fitted: true, fault: null);

        // The simulated barometer tells 6 Pa too much, the reference errs by some 20 Pa.
        Assert.All(result.Points, point => Assert.InRange(point.Values!.ErrorPascals, -60, 60));
        Assert.Equal(TrueAtmosphere + 6, result.Record.Environment.Average(reading => reading.AtmospherePascals)!.Value, 3.0);
        Assert.All(result.Record.Environment.Where(reading => reading.AtmospherePascals is not null), reading => Assert.Contains("SB-00219", reading.Instrument, StringComparison.Ordinal));
        Assert.Equal(15, result.Points[0].Budget!.Inputs.Single(input => input.Name == "atmosphere").StandardUncertainty);
    }

    [Fact]
    public void Without_one_the_weather_shows_as_an_error_of_the_device_and_in_its_uncertainty()
    {
        RunResult result = Run(fitted: false, fault: null);

        Assert.All(result.Points, point => Assert.Equal(TrueAtmosphere - StatedAtmosphere, point.Values!.ErrorPascals, 60.0));
        // 30 hPa to either side, rectangular (trade practice).
        Assert.Equal(3_000 / Math.Sqrt(3), result.Points[0].Budget!.Inputs.Single(input => input.Name == "atmosphere").StandardUncertainty, 1e-6);
    }

    [Fact]
    public void A_barometer_that_falls_silent_ends_the_run_of_a_device_that_needs_it()
    {
        RunResult result = Run(fitted: true, "fault barometer silence on");

        Assert.Equal(RunOutcome.InstrumentFailure, result.Record.Outcome);
        Assert.Contains("barometer", result.Record.OutcomeReason, StringComparison.Ordinal);
        Assert.True(result.Record.VentConfirmed);
    }

    private static RunResult Run(bool fitted, string? fault)
    {
        DeviceDefinition absolute = Workshop.Devices["transmitter-6bar"] with
        {
            RangeFrom = Absolute(0),
            RangeTo = Absolute(6),
            Rating = Absolute(12),
            Floor = Absolute(0),
        };
        SweepJob shipped = SweepCommands.Prepare(Workshop, "manifold", "transmitter-6bar", "five-point", "barometer", simulated: true, allowance: null);
        BenchDefinition bench = shipped.Bench with { Mounted = [new MountedDevice(absolute, shipped.Bench.InputOf(shipped.Device)!)] };
        if (!fitted)
            bench = bench with { BarometerLine = null, Arrangement = bench.Arrangement with { Barometer = null } };
        SweepJob job = shipped with
        {
            Bench = bench,
            Device = absolute,
            Procedure = shipped.Procedure with { PointsOfSpan = [0.3, 0.6], Descending = false, Preloads = 0, Samples = 4 },
            Environment = [],
        };
        BenchDescription gas = BenchFile.Load("manifold");
        var simulated = new SimulatedBench(
            gas with
            {
                Plant = gas.Plant with { AtmospherePa = TrueAtmosphere },
                Transmitter = new TransmitterDescription { LowerPa = -TrueAtmosphere, UpperPa = 600_000 - TrueAtmosphere },
            },
            seed: 1);
        if (fault is not null)
            simulated.Inject(fault);
        using var place = new EmbeddedPlace(job, simulated, null, VirtualRun.Started);
        var run = new SweepRun(job, place.Bench, VirtualRun.Started, simulated.NowMicros, []);
        run.Begin(simulated.NowMicros);
        return RunEvaluation.Evaluate(place.Pass(run, new OperatorSignals(CancellationToken.None, CancellationToken.None)));
    }

    private static StatedPressure Absolute(decimal bar) => new(bar, PressureUnit.Bar, PressureReference.Absolute);
}
