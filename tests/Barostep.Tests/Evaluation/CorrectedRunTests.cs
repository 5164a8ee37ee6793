using Barostep.Configuration;
using Barostep.Evaluation;
using Barostep.Evaluation.Corrections;
using Barostep.Evaluation.Decisions;
using Barostep.Evaluation.Devices;
using Barostep.Evaluation.Uncertainty;
using Barostep.Procedures;
using Barostep.Records;
using Barostep.Safety;
using Barostep.Tests.Records;

namespace Barostep.Tests.Evaluation;

/// <summary>A run's readings are corrected before they are compared, and each correction takes part in U.</summary>
public sealed class CorrectedRunTests
{
    private const double Span = 1_000_000;

    private static readonly Procedure _ends = SampleRuns.UpAndDown with { PointsOfSpan = [0, 0.5, 1], Descending = false };

    [Fact]
    public void A_reference_that_tells_too_little_makes_the_device_look_too_high_by_as_much()
    {
        ReferenceStandard offset = SampleRuns.Reference with { Corrections = [], CorrectionCoefficients = [120, 1e-4] };

        RunResult result = RunEvaluation.Evaluate(Run(SampleRuns.DigitalGauge, offset));

        // Correction 120 Pa + 0.0001·p is added to the reference, so it is taken from the error.
        Assert.Equal([-120, -170, -220], result.Points.Select(point => Math.Round(point.Values!.ErrorPascals, 6)));
        Assert.Contains("K-2026-0318", Assert.Single(result.Corrections.Applied).Text, StringComparison.Ordinal);
    }

    [Fact]
    public void The_gas_column_is_added_where_the_reference_stands_higher()
    {
        RunRecord run = Run(SampleRuns.DigitalGauge, SampleRuns.Reference with { Corrections = [] }) with
        {
            Arrangement = new MeasuringArrangement { Head = new HeadColumn("nitrogen", 0.35, 0.005, 9.81, 0, "stated") },
            Environment = [new EnvironmentReading(0, 20, 0.5, 101_325, "test")],
        };

        RunResult result = RunEvaluation.Evaluate(run);

        // Nitrogen at 10 bar gauge, 20 °C: 1 101 325·0.028 013 4/(8.314 463·293.15) = 12.657 6 kg/m³; room air 1.199 314 kg/m³
        // (20 °C, 101 325 Pa, 50 %, CIPM-2007). (12.657 6 − 1.199 3)·9.81·0.35 = 39.34 Pa.
        Assert.Equal(-39.34, result.Points[2].Values!.ErrorPascals, 0.01);
        // u: height (12.6576 − 1.1993)·9.81·0.005 = 0.562 Pa; gas temperature 39.34·3/√3/293.15 = 0.232 Pa; together 0.608 Pa.
        Assert.Equal(0.608, result.Points[2].Budget!.Inputs.Single(input => input.Name == "head").StandardUncertainty, 0.002);
    }

    [Fact]
    public void A_barometer_that_was_read_moves_an_absolute_device_on_a_gauge_reference()
    {
        DeviceDefinition absolute = SampleRuns.DigitalGauge with
        {
            RangeFrom = new StatedPressure(0, PressureUnit.Bar, PressureReference.Absolute),
            RangeTo = new StatedPressure(10, PressureUnit.Bar, PressureReference.Absolute),
        };
        var arrangement = new MeasuringArrangement
        {
            ReferenceTells = PressureReference.Gauge,
            Barometer = new BenchBarometer("B-2", 15, 0),
        };
        RunRecord run = Run(absolute, SampleRuns.Reference with { Corrections = [] }) with { Arrangement = arrangement };

        RunResult unread = RunEvaluation.Evaluate(run);
        RunResult read = RunEvaluation.Evaluate(run with { Environment = [new EnvironmentReading(0, 20, 0.5, run.AtmospherePascals + 250, "B-2")] });

        Assert.Equal(0, unread.Points[1].Values!.ErrorPascals, 1e-6);
        Assert.Equal(-250, read.Points[1].Values!.ErrorPascals, 1e-6);
        Assert.Equal(15, read.Points[1].Budget!.Inputs.Single(input => input.Name == "atmosphere").StandardUncertainty);
        // Unread, it may be anywhere in the weather: 3 kPa/√3.
        Assert.Equal(1732, unread.Points[1].Budget!.Inputs.Single(input => input.Name == "atmosphere").StandardUncertainty, 1.0);
    }

    [Fact]
    public void A_shunt_and_the_multimeter_that_reads_it_bring_the_current_back()
    {
        // 250 Ω nominal, really 250.25 Ω at 20 °C is what its certificate says; the record holds V/250.25.
        var shunt = new BenchShunt("R-3", 250.25, 0.025, 10e-6);
        ReferenceStandard voltmeter = SampleRuns.Reference with
        {
            Quantity = StandardQuantity.Voltage,
            ExpandedUncertainty = 1e-4,
            ExpandedUncertaintyOfReading = 0,
            DriftPerYear = 0,
            Corrections = [],
            CorrectionCoefficients = [0.001],
        };
        RunRecord run = Run(SampleRuns.Transmitter, SampleRuns.Reference with { Corrections = [] }) with
        {
            Standards = [new StandardUse("reference", SampleRuns.Reference with { Corrections = [] }, null), new StandardUse("multimeter", voltmeter, null)],
            Arrangement = new MeasuringArrangement { Shunt = shunt },
            Environment = [new EnvironmentReading(0, 30, null, null, "test")],
        };

        PointResult top = RunEvaluation.Evaluate(run).Points[2];

        // 20 mA·250.25 Ω = 5.005 V, + 1 mV, over 250.25·(1 + 10e-6·10) Ω: 20.001 996 mA; of 16 mA span 0.012 475 %.
        Assert.Equal(1.2475e-4, top.Values!.ErrorOfSpan, 2e-8);
        // u of the shunt: 20 mA·0.025/250.25 = 2.0 µA of 16 mA on 1 MPa = 124.9 Pa.
        Assert.Equal(124.9, top.Budget!.Inputs.Single(input => input.Name == "shunt").StandardUncertainty, 0.1);
    }

    [Fact]
    public void A_square_root_transmitter_without_errors_shows_none()
    {
        DeviceDefinition flow = SampleRuns.Transmitter with { Transfer = new SignalTransfer.SquareRoot() };
        RunRecord linear = Run(SampleRuns.Transmitter, null);
        RunRecord run = linear with
        {
            Device = flow,
            Points = [.. linear.Points.Select(point => point with
            {
                Samples = [.. point.Samples.Select(sample => sample with
                {
                    Indication = sample.Indication with { Value = 0.004 + (0.016 * Math.Sqrt(sample.Reference.Value / Span)) },
                })],
            })],
            Zeros = [],
        };

        Assert.All(RunEvaluation.Evaluate(run).Points, point => Assert.Equal(0, point.Values!.ErrorPascals, 1e-6));
        // dp/dI = 2·x·span/ΔI with the signal's share x.
        Assert.Equal(2 * 0.5 * Span / 0.016, Transfer.PascalsPerUnit(flow, 0.012), 1.0);
        Assert.Equal(Span / 0.016, Transfer.PascalsPerUnit(SampleRuns.Transmitter, 0.012), 1e-3);
    }

    [Fact]
    public void A_grade_permits_less_in_the_middle_half_than_outside()
    {
        // ASME B40.100 grade A: 2/1/2 % of span (figures from memory).
        DeviceDefinition dial = SampleRuns.DigitalGauge with { Grade = AsmeGrade.Find("A"), ToleranceOfSpan = 0.02 };

        RunResult result = RunEvaluation.Evaluate(Run(dial, null, error: 0.015));

        Assert.Equal([Conformity.Passed, Conformity.Failed, Conformity.Passed], result.Points.Select(point => point.Conformity));
        Assert.Equal(0.01, result.Points[1].LimitOfSpan);
    }

    [Fact]
    public void A_class_fails_a_gauge_for_its_hysteresis_alone()
    {
        // EN 837-1: hysteresis no larger than the class (from memory).
        DeviceDefinition dial = SampleRuns.DigitalGauge with { AccuracyClass = DialGaugeClass.Find(1.0), ToleranceOfSpan = 0.01 };
        RunRecord run = SampleRuns.Run(
            dial, SampleRuns.UpAndDown, (_, direction, share) => share is 0 or 1 ? 0 : direction == SeriesDirection.Ascending ? -0.006 : 0.006);

        RunResult result = RunEvaluation.Evaluate(run);

        Assert.All(result.Points, point => Assert.Equal(Conformity.Passed, point.Conformity));
        Assert.Equal(Conformity.Failed, result.Conformity);
        Assert.Contains("hysteresis of 1.2 % of span is more than class 1 permits", result.Reasons);
    }

    [Theory]
    [InlineData(AgreedRule.PlainLimit, Conformity.Passed, DecisionZone.Pass)]
    [InlineData(AgreedRule.KeepAway, Conformity.Failed, DecisionZone.Fail)]
    [InlineData(AgreedRule.FourZones, Conformity.Passed, DecisionZone.ConditionalPass)]
    [InlineData(AgreedRule.RiskOfThisDevice, Conformity.Failed, DecisionZone.Fail)]
    // Of a kind that scatters by 0.1 % about 0, so few are near 0.5 % that accepting up to the limit errs in far less than 2.5 %.
    [InlineData(AgreedRule.RiskOfAllDevices, Conformity.Passed, DecisionZone.Pass)]
    public void The_agreed_rule_decides_an_error_that_is_inside_by_less_than_U(AgreedRule rule, Conformity expected, DecisionZone zone)
    {
        // U at 1 MPa is some 190 Pa (zero shift, calibration, drift); the error is inside by 100 Pa.
        RunRecord run = Run(Deciding(rule), SampleRuns.Reference with { Corrections = [] }, error: 0.0049);

        PointResult top = RunEvaluation.Evaluate(run).Points[2];

        Assert.Equal((expected, zone), (top.Conformity, top.Decision!.Zone));
        Assert.True(top.Uncertainty!.Value is > 100 and < 300, $"{top.Uncertainty.Value}");
    }

    [Fact]
    public void A_rule_that_needs_an_uncertainty_decides_nothing_without_a_standard()
    {
        RunResult result = RunEvaluation.Evaluate(Run(Deciding(AgreedRule.KeepAway), null));

        Assert.Equal(Conformity.NotDecided, result.Conformity);
        Assert.Contains(result.Reasons, reason => reason.Contains("the agreed rule needs an uncertainty", StringComparison.Ordinal));
        Assert.True(RunEvaluation.EvaluatePoint(result.Record, result.Record.Points[0]).IsOpen);
    }

    [Theory]
    // 100 ppm/K of the span over the room's distance from 20 °C, rectangular (GUM 4.3.7); 5 K where nobody told it.
    [InlineData(23.5, 3.5)]
    [InlineData(18.0, 2.0)]
    [InlineData(null, 5.0)]
    public void A_temperature_coefficient_enters_the_budget_by_the_rooms_distance_from_20_degrees(double? celsius, double kelvin)
    {
        DeviceDefinition device = SampleRuns.DigitalGauge with { TemperatureOfSpanPerKelvin = 1e-4 };
        RunRecord run = Run(device, SampleRuns.Reference) with
        {
            Environment = celsius is null ? [] : [new EnvironmentReading(0, 20.0, null, null, "told"), new EnvironmentReading(1, celsius, null, null, "told")],
        };

        UncertaintyBudget budget = RunBudgets.At(RunEvaluation.Evaluate(run), RunEvaluation.Evaluate(run).Points[0])!;

        UncertaintyInput line = Assert.Single(budget.Inputs, input => input.Name == "temperature");
        Assert.Equal(1e-4 * device.SpanPascals * kelvin / Math.Sqrt(3), line.StandardUncertainty, 1e-6);
    }

    [Fact]
    public void What_is_kept_of_a_device_and_its_bench_comes_back()
    {
        DeviceDefinition device = Deciding(AgreedRule.RiskOfAllDevices) with
        {
            Transfer = new SignalTransfer.Table([(0, 0), (0.4, 0.5), (1, 1)]),
            Grade = AsmeGrade.Find("2A"),
            ResolutionPascals = 10,
            TemperatureOfSpanPerKelvin = 4e-5,
        };
        RunRecord run = Run(device, SampleRuns.Reference with { Corrections = [], CorrectionCoefficients = [1, 2e-6] }) with
        {
            PerformedBy = "A. Holm",
            Arrangement = new MeasuringArrangement
            {
                ReferenceTells = PressureReference.Absolute,
                ReferenceResolutionPascals = 1,
                Head = new HeadColumn("air", -0.2, 0.01, 9.81, 0.001, "stated"),
                Barometer = new BenchBarometer("B-2", 15, 1),
                Shunt = new BenchShunt("R-3", 250, 0.01, 5e-6),
            },
        };

        using var json = new MemoryStream(RunJsonTests.Written(run));
        RunRecord read = RunJson.Read(json);

        Assert.Equal((run.Device, run.Arrangement, run.PerformedBy), (read.Device, read.Arrangement, read.PerformedBy));
        Assert.Equal([1, 2e-6], read.Standards[0].Standard.CorrectionCoefficients);
        DirectoryInfo folder = Directory.CreateTempSubdirectory("barostep-arrangement-");
        try
        {
            using RunStore store = RunStore.Open(Path.Combine(folder.FullName, "records.sqlite"));
            store.Save(run);
            Assert.Equal(RunJsonTests.Written(run), RunJsonTests.Written(store.Get(run.Id)!));
        }
        finally
        {
            folder.Delete(recursive: true);
        }
    }

    private static DeviceDefinition Deciding(AgreedRule rule) =>
        SampleRuns.DigitalGauge with { Decision = new DecisionAgreement(rule, 1, 0.025, 0.001) };

    private static RunRecord Run(DeviceDefinition device, ReferenceStandard? reference, double error = 0) =>
        SampleRuns.Run(device, _ends, (_, _, _) => error) with
        {
            Standards = reference is null ? [] : [new StandardUse("reference", reference, null)],
        };
}
