using Barostep.Configuration;
using Barostep.Evaluation;
using Barostep.Procedures;
using Barostep.Records;
using Barostep.Safety;
using Barostep.Tests.Records;
using CsCheck;

namespace Barostep.Tests.Evaluation;

public sealed class RunEvaluationTests
{
    [Fact]
    public void A_published_gauge_data_set_gives_its_means_and_differences()
    {
        // instrumentationtools.com, "Uncertainty calculations of pressure calibration": gauge 0-10 bar on its mark,
        // standard read up and down; printed means 0.000 2.004 4.005 8.006 10.008.
        double[] gauge = [0, 2, 4, 8, 10];
        double[] up = [0.000, 2.003, 4.006, 8.005, 10.008];
        double[] down = [0.000, 2.005, 4.004, 8.006, 10.007];
        double[] means = [0.000, 2.004, 4.005, 8.006, 10.008];
        double[] downLessUp = [0.000, 0.002, -0.002, 0.001, -0.001];
        Procedure procedure = SampleRuns.UpAndDown with { PointsOfSpan = [0, 0.2, 0.4, 0.8, 1], Samples = 1 };
        List<PointRecord> points = [];
        for (int i = 0; i < 5; i++)
            points.Add(Point(i + 1, SeriesDirection.Ascending, gauge[i], up[i]));
        for (int i = 4; i >= 0; i--)
            points.Add(Point(10 - i, SeriesDirection.Descending, gauge[i], down[i]));

        RunResult result = RunEvaluation.Evaluate(SampleRuns.Around(SampleRuns.DigitalGauge, procedure, [], points));

        for (int i = 0; i < 5; i++)
        {
            PointResult ascending = result.Points[i];
            PointResult descending = result.Points[9 - i];
            double mean = (ascending.Values!.ReferencePascals + descending.Values!.ReferencePascals) / 2e5;
            Assert.Equal(means[i], mean, 0.00050001);
            // The gauge stands on its mark, so its error falls by what the standard rises.
            Assert.Equal(-downLessUp[i], descending.HysteresisOfSpan!.Value * 10, 1e-9);
            Assert.Equal(ascending.HysteresisOfSpan, descending.HysteresisOfSpan);
        }

        Assert.Equal(0.002, Math.Abs(result.LargestHysteresisOfSpan!.Value) * 10, 1e-9);
        Assert.Equal(Conformity.Passed, result.Conformity);

        static PointRecord Point(int index, SeriesDirection direction, double indication, double reference) =>
            new(index, 1, direction, indication * 1e5, 0, 0, 0, PointMarks.None, [SampleRuns.Simultaneous(reference * 1e5, indication * 1e5)]);
    }

    [Theory]
    // Definition of the linear 4-20 mA signal (IEC 60381-1): 16 mA over the span.
    [InlineData(0.004, 0)]
    [InlineData(0.005, 0.0625)]
    [InlineData(0.0056, 0.10)]
    [InlineData(0.008, 0.25)]
    [InlineData(0.012, 0.50)]
    [InlineData(0.016, 0.75)]
    [InlineData(0.020, 1)]
    public void A_loop_current_tells_its_pressure(double amperes, double share) =>
        Assert.Equal(share * 1e6, Transfer.ToPascals(SampleRuns.Transmitter, amperes), 1e-6);

    [Fact]
    public void A_range_that_starts_below_zero_is_counted_from_its_lower_end()
    {
        DeviceDefinition compound = SampleRuns.Transmitter with { RangeFrom = SampleRuns.Gauge(-1m), RangeTo = SampleRuns.Gauge(3m) };

        Assert.Equal(-1e5, Transfer.ToPascals(compound, 0.004), 1e-6);
        Assert.Equal(1e5, Transfer.ToPascals(compound, 0.012), 1e-6);
        Assert.Equal(3e5, Transfer.ToPascals(compound, 0.020), 1e-6);
    }

    [Theory]
    // NAMUR NE 43: measuring information 3.8 mA to 20.5 mA, failure at or below 3.6 mA or at or above 21.0 mA.
    [InlineData(0.0036, LoopSignal.Fault)]
    [InlineData(0.0037, LoopSignal.Saturated)]
    [InlineData(0.0038, LoopSignal.Measuring)]
    [InlineData(0.0205, LoopSignal.Measuring)]
    [InlineData(0.0208, LoopSignal.Saturated)]
    [InlineData(0.0210, LoopSignal.Fault)]
    [InlineData(0.0, LoopSignal.Fault)]
    public void A_loop_outside_its_measuring_information_is_flagged(double amperes, LoopSignal signal)
    {
        Assert.Equal(signal, Transfer.Signal(SampleRuns.Transmitter, amperes));
        Assert.Equal(LoopSignal.Measuring, Transfer.Signal(SampleRuns.Transmitter with { OutputFrom = 0, OutputTo = 0.02 }, amperes));
    }

    [Fact]
    public void A_fault_current_is_no_reading_and_leaves_the_run_undecided()
    {
        RunResult result = RunEvaluation.Evaluate(SampleRuns.Run(SampleRuns.Transmitter, SampleRuns.UpAndDown, (_, direction, share) =>
            direction == SeriesDirection.Ascending && share == 1 ? 0.2 : 0));

        Assert.Equal(LoopSignal.Fault, result.Points[5].Signal);
        Assert.Equal(Conformity.NotDecided, result.Points[5].Conformity);
        Assert.Equal(Conformity.NotDecided, result.Conformity);
        Assert.Contains("the loop told a fault at 1 of 12 points", result.Reasons);
        Assert.Equal(0, result.Line!.SpanErrorOfSpan, 1e-12);
    }

    [Theory]
    [InlineData(0.005, Conformity.Passed)]
    [InlineData(-0.005, Conformity.Passed)]
    [InlineData(0.00500001, Conformity.Failed)]
    [InlineData(-0.00500001, Conformity.Failed)]
    public void An_error_equal_to_the_limit_passes_and_one_above_fails(double errorOfSpan, Conformity verdict)
    {
        RunResult result = RunEvaluation.Evaluate(SampleRuns.Run(SampleRuns.Transmitter, SampleRuns.UpAndDown, (_, _, _) => errorOfSpan));

        Assert.All(result.Points, point => Assert.Equal(verdict, point.Conformity));
        Assert.Equal(verdict, result.Conformity);
    }

    [Fact]
    public void The_unit_in_which_a_range_is_stated_changes_no_verdict() =>
        Gen.Select(Gen.Double[-0.006, 0.006], Gen.OneOf(-0.005, 0.005), Gen.Bool, Gen.OneOf([.. PressureUnit.All])).Sample((near, tie, onTie, unit) =>
        {
            double error = onTie ? tie : near;
            DeviceDefinition other = SampleRuns.DigitalGauge with
            {
                RangeFrom = new StatedPressure(0, unit, PressureReference.Gauge),
                RangeTo = new StatedPressure(1_000_000m / unit.Pascals, unit, PressureReference.Gauge),
            };
            RunRecord record = SampleRuns.Run(SampleRuns.DigitalGauge, SampleRuns.UpAndDown, (_, _, _) => error);

            RunResult bar = RunEvaluation.Evaluate(record);
            RunResult restated = RunEvaluation.Evaluate(record with { Device = other });

            Assert.Equal(bar.Conformity, restated.Conformity);
            Assert.Equal(bar.Points.Select(point => point.Conformity), restated.Points.Select(point => point.Conformity));
        });

    [Fact]
    public void The_order_in_which_samples_are_listed_changes_nothing() =>
        SampleRuns.Random.Sample(
            record =>
            {
                RunRecord reversed = record with
                {
                    Points = [.. record.Points.Select(point => point with { Samples = [.. point.Samples.Reverse()] })],
                    Zeros = [.. record.Zeros.Select(zero => zero with { Samples = [.. zero.Samples.Reverse()] })],
                };
                RunResult first = RunEvaluation.Evaluate(record);
                RunResult second = RunEvaluation.Evaluate(reversed);
                Assert.Equal(first.Points.Select(point => point with { Budget = null }), second.Points.Select(point => point with { Budget = null }));
                Assert.Equal(first.Points.Select(point => point.Budget?.Inputs), second.Points.Select(point => point.Budget?.Inputs));
                Assert.Equal((first.Zero, first.Line, first.Conformity), (second.Zero, second.Line, second.Conformity));
            },
            iter: 300);

    [Fact]
    public void A_pressure_that_drifts_evenly_shows_no_error_between_readings_taken_one_after_the_other()
    {
        // 1 kPa a second; the meter answers 150 ms after the reference. Only the last sample has no reference after it.
        static RawReading At(long micros, double value) => new(value, "", micros, micros + 40_000);
        Sample[] samples =
        [
            .. Enumerable.Range(0, 5).Select(i => i * 500_000L).Select(t => new Sample(
                At(t, 500_000 + (t / 1000.0)),
                At(t + 150_000, SampleRuns.OutputFor(SampleRuns.DigitalGauge, 0.5 + ((t + 150_000) / 1e9))),
                false)),
        ];
        PointRecord point = new(1, 1, SeriesDirection.Ascending, 500_000, 0, 0, 0, PointMarks.None, samples);

        IReadOnlyList<SampleError> errors = SampleErrors.Of(SampleRuns.DigitalGauge, point.Samples);

        Assert.All(errors.Take(4), error => Assert.Equal(0, error.ErrorPascals, 1e-6));
        Assert.Equal(150, errors[4].ErrorPascals, 1e-6);
    }

    [Fact]
    public void Void_samples_are_never_averaged_and_half_of_them_undecide_a_point()
    {
        Sample good = SampleRuns.Simultaneous(500_000, 500_100);
        Sample bad = SampleRuns.Simultaneous(0, 900_000, isVoid: true);

        PointResult most = Of(good, good, bad);
        PointResult half = Of(good, bad);
        PointResult none = Of(bad, bad);

        Assert.Equal((Conformity.Passed, 2), (most.Conformity, most.Values!.Count));
        Assert.Equal(100, most.Values.ErrorPascals, 1e-9);
        Assert.Equal(0, most.Values.ErrorDeviationPascals);
        Assert.Equal(Conformity.NotDecided, half.Conformity);
        Assert.Null(half.Values!.ErrorDeviationPascals);
        Assert.Null(none.Values);

        static PointResult Of(params Sample[] samples) => RunEvaluation.EvaluatePoint(
            SampleRuns.Around(SampleRuns.DigitalGauge, SampleRuns.UpAndDown, [], []),
            new PointRecord(1, 1, SeriesDirection.Ascending, 500_000, 0, 0, 0, PointMarks.VoidSamples, samples));
    }

    [Fact]
    public void A_zero_and_a_span_error_are_found_again_within_three_standard_uncertainties() =>
        Gen.Double[-1, 1].Array[24].Sample(noise =>
        {
            int at = 0;
            RunResult result = RunEvaluation.Evaluate(SampleRuns.Run(
                SampleRuns.Transmitter,
                SampleRuns.UpAndDown with { Cycles = 2 },
                (_, _, share) => 0.0020 - (0.0035 * share) + (0.0001 * noise[at++])));
            ErrorLine line = result.Line!;
            // Wide by design: among thousands of random scatters some lie outside three; none may lie outside six.
            Assert.InRange(Math.Abs(line.ZeroErrorOfSpan - 0.0020) / line.ZeroUncertaintyOfSpan!.Value, 0, 6);
            Assert.InRange(Math.Abs(line.SpanErrorOfSpan + 0.0035) / line.SpanUncertaintyOfSpan!.Value, 0, 6);
        });

    [Fact]
    public void The_demonstration_device_has_its_errors_found_again()
    {
        RunResult result = RunEvaluation.Evaluate(SampleRuns.Run(SampleRuns.Transmitter, SampleRuns.UpAndDown, (_, _, share) => 0.0020 - (0.0035 * share)));

        Assert.Equal(0.0020, result.Line!.ZeroErrorOfSpan, 1e-12);
        Assert.Equal(-0.0035, result.Line.SpanErrorOfSpan, 1e-12);
        Assert.Equal(0.0002, result.Zero.ShiftOfSpan!.Value, 1e-12);
        Assert.Equal(1, result.LargestError!.Index);
    }

    [Fact]
    public void Repeatability_is_the_largest_spread_among_cycles_in_one_direction()
    {
        // 43 CFR 3175.135(a): largest difference among the ascending (or the descending) values at one input, % of span.
        RunResult result = RunEvaluation.Evaluate(SampleRuns.Run(
            SampleRuns.Transmitter,
            SampleRuns.UpAndDown with { Cycles = 3 },
            (cycle, direction, share) => direction == SeriesDirection.Ascending && share == 0.4 ? cycle * 0.0002 : 0.001));

        Assert.Equal(0.0004, result.Repeatability.AscendingOfSpan!.Value, 1e-12);
        Assert.Equal(0, result.Repeatability.DescendingOfSpan!.Value, 1e-12);
        Assert.Equal(0.0008, result.LargestHysteresisOfSpan!.Value, 1e-12);
    }

    [Theory]
    [InlineData(RunOutcome.Stopped)]
    [InlineData(RunOutcome.Tripped)]
    [InlineData(RunOutcome.Aborted)]
    [InlineData(RunOutcome.Incomplete)]
    [InlineData(RunOutcome.InstrumentFailure)]
    public void A_run_that_was_not_completed_is_never_decided(RunOutcome outcome)
    {
        RunRecord record = SampleRuns.Run(SampleRuns.Transmitter, SampleRuns.UpAndDown, (_, _, _) => 0.3) with { Outcome = outcome };

        Assert.Equal(Conformity.NotDecided, RunEvaluation.Evaluate(record).Conformity);
    }

    [Fact]
    public void A_completed_run_that_lacks_points_is_not_decided()
    {
        RunRecord record = SampleRuns.Run(SampleRuns.Transmitter, SampleRuns.UpAndDown, (_, _, _) => 0);

        RunResult lacking = RunEvaluation.Evaluate(record with { Points = [.. record.Points.Take(9)] });
        RunResult empty = RunEvaluation.Evaluate(record with { Points = [], Zeros = [] });

        Assert.Equal(Conformity.NotDecided, lacking.Conformity);
        Assert.Equal(["3 of 12 points not read"], lacking.Reasons);
        Assert.Equal(Conformity.NotDecided, empty.Conformity);
        Assert.Equal(["12 of 12 points not read"], empty.Reasons);
        Assert.Null(empty.LargestError);
        Assert.Null(empty.Line);
        Assert.Null(empty.Zero.ShiftOfSpan);
    }

    [Fact]
    public void One_missing_point_is_missed_unless_the_top_was_read_once_for_both_series()
    {
        RunRecord record = SampleRuns.Run(SampleRuns.Transmitter, SampleRuns.UpAndDown, (_, _, _) => 0);

        for (int without = 1; without <= 12; without++)
        {
            RunResult result = RunEvaluation.Evaluate(record with { Points = [.. record.Points.Where(point => point.Index != without)] });
            Assert.Equal(without == 7 ? Conformity.Passed : Conformity.NotDecided, result.Conformity);
        }
    }

    [Fact]
    public void Nominals_that_differ_by_rounding_are_one_nominal()
    {
        RunRecord record = SampleRuns.Run(SampleRuns.Transmitter, SampleRuns.UpAndDown, (_, direction, _) => direction == SeriesDirection.Descending ? 0.001 : 0);
        RunResult result = RunEvaluation.Evaluate(record with
        {
            Points = [.. record.Points.Select(point => point.Direction == SeriesDirection.Descending ? point with { NominalPascals = point.NominalPascals + 1e-5 } : point)],
        });

        Assert.All(result.Points, point => Assert.Equal(0.001, point.HysteresisOfSpan!.Value, 1e-12));
        Assert.Equal(Conformity.Passed, result.Conformity);
    }
}
