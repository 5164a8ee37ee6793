using Barostep.Configuration;
using Barostep.Evaluation;
using Barostep.Evaluation.Drift;
using Barostep.Records;
using Barostep.Tests.Records;
using CsCheck;

namespace Barostep.Tests.Evaluation.Drift;

public sealed class DriftForecastTests
{
    private static readonly DateOnly First = new(2022, 3, 1);

    [Fact]
    public void A_hand_computed_drift_reaches_its_tolerance_when_it_must()
    {
        // 0.1 % of span a year without scatter, 1461 days = 4 years apart in all; U = 0.05 % each.
        // Room 0.5 − 0.05 = 0.45 %; at the last calibration 0.4 %, so half a year is left to the line itself.
        DriftForecast forecast = DriftForecast.Of(Series(0.0005, 0, 0.001, 0.002, 0.003, 0.004), 0.005)!;

        Assert.Equal(0.001, forecast.PerYear, 1e-5);
        Assert.Equal(0.5, forecast.ReachedAfterYears!.Value, 0.01);
        // u = 0.025 %; Σ(t − t̄)² = 10 a² for −2..2, so u(slope) = 0.025 %/√10; at 2.5 years from the middle of the series
        // u(line) = 0.025 %·√(1/5 + 2.5²/10) = 0.0227 %, and U of the day = 2·0.0227/0.1 = 0.454 a.
        Assert.Equal(2 * 0.00025 / Math.Sqrt(10), forecast.PerYearExpandedUncertainty, 1e-6);
        Assert.Equal(0.454, forecast.ReachedExpandedUncertaintyYears!.Value, 0.005);
        // Already today |error| + U(line) = 0.4 % + 2·0.025 %·√(1/5 + 4/10) = 0.439 %, so little is left to the earliest day.
        Assert.InRange(forecast.EarliestAfterYears!.Value, 0.05, 0.12);
        Assert.True(forecast.IsSignificant);
    }

    [Fact]
    public void A_drift_the_other_way_is_the_same_story() => Gen.Double[-0.001, 0.001].Array[6].Sample(errors =>
    {
        DriftForecast up = DriftForecast.Of(Series(0.0004, errors), 0.005)!;
        DriftForecast down = DriftForecast.Of(Series(0.0004, [.. errors.Select(error => -error)]), 0.005)!;
        Assert.Equal(-up.PerYear, down.PerYear, 1e-15);
        Assert.Equal(up.EarliestAfterYears ?? -1, down.EarliestAfterYears ?? -1, 1e-6);
    });

    [Fact]
    public void The_earliest_day_is_never_after_the_expected_one() =>
        Gen.Select(Gen.Double[-0.003, 0.003].Array[5], Gen.Double[1e-5, 0.002]).Sample((errors, u) =>
        {
            DriftForecast forecast = DriftForecast.Of(Series(u, errors), 0.005)!;
            if (forecast.ReachedAfterYears is { } reached)
                Assert.InRange(forecast.EarliestAfterYears!.Value, 0, reached);
        });

    [Fact]
    public void A_device_that_does_not_drift_gets_the_longest_interval_that_is_allowed()
    {
        DriftForecast steady = DriftForecast.Of(Series(0.0002, 0.0004, 0.0005, 0.0004, 0.0005, 0.0004), 0.005)!;

        IntervalProposal proposal = IntervalProposal.Of([steady], 24);

        Assert.Equal(24, proposal.Months);
        Assert.Equal(steady.Last.On.AddMonths(24), proposal.NextOn);
        Assert.Null(proposal.Governing);
    }

    [Fact]
    public void The_place_that_reaches_its_tolerance_first_governs_and_months_are_rounded_down()
    {
        DriftForecast slow = DriftForecast.Of(Series(0.0001, 0, 0.0001, 0.0002, 0.0003), 0.005)!;
        DriftForecast fast = DriftForecast.Of(Series(0.0001, 0, 0.001, 0.002, 0.003), 0.005)!;

        IntervalProposal proposal = IntervalProposal.Of([slow, fast], 120);

        Assert.Same(fast, proposal.Governing);
        Assert.Equal((int)(fast.EarliestAfterYears!.Value * 12), proposal.Months);
        Assert.InRange(proposal.Months!.Value, 18, 23);
        Assert.Equal(12, IntervalProposal.Of([slow, fast], 12).Months);
    }

    [Fact]
    public void A_device_at_its_tolerance_waits_no_month()
    {
        IntervalProposal proposal = IntervalProposal.Of([DriftForecast.Of(Series(0.0005, 0, 0.002, 0.0048), 0.005)!], 24);

        Assert.Equal(0, proposal.Months);
        Assert.Contains("adjust or repair", proposal.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void Too_few_calibrations_say_so()
    {
        Assert.Null(DriftForecast.Of(Series(0.0005, 0, 0.001), 0.005));
        IntervalProposal none = IntervalProposal.Of([], 24);
        Assert.Null(none.Months);
        Assert.Contains("too few calibrations", none.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void A_series_begins_anew_where_the_device_was_adjusted_and_leaves_out_runs_that_were_not_completed()
    {
        RunRecord[] runs =
        [
            Run("a", 0, 0.004), Run("b", 1, 0.0045) with { Job = new JobUse(SampleRuns.Substation, JobStage.AsFound) },
            Run("c", 2, 0.0001) with { Job = new JobUse(SampleRuns.Substation, JobStage.AsLeft) },
            Run("d", 300, 0.02) with { Outcome = RunOutcome.Aborted }, Run("e", 400, 0.0002), Run("f", 800, 0.0003),
        ];

        IReadOnlyList<ErrorSeries> series = ErrorSeries.Of([.. runs.Select(run => RunErrors.Of(RunEvaluation.Evaluate(run)))]);

        Assert.Equal(4, series.Count);
        Assert.All(series, place => Assert.Equal(["c", "e", "f"], place.Errors.Select(error => error.RunId)));
        Assert.Equal([0.0, 0.0, 1.0, 1.0], series.Select(place => place.NominalOfSpan));
        Assert.Equal(0.0003, series[3].Errors[^1].ErrorOfSpan, 1e-9);
    }

    [Fact]
    public void U_of_a_dated_error_is_that_of_the_budget_of_its_point()
    {
        // At the upper end: reference 1 MPa, U = 100 Pa + 0.00005·1 MPa = 150 Pa, so u = 75 Pa. Drift 40 Pa/a over 73 days from
        // 2026-01-15 to 2026-03-29: 40·73/365.25/√3 = 4.62 Pa. Zero shift 0.0002 of span: 200 Pa wide, u = 100/√3 = 57.74 Pa.
        // No scatter and no hysteresis. U = 2·√(75² + 4.62² + 57.74²) = 189.52 Pa of 1 MPa.
        RunRecord run = Run("a", 0, 0.001) with { Standards = [new StandardUse("reference", SampleRuns.Reference, null)] };

        DatedError error = ErrorSeries.Of([RunErrors.Of(RunEvaluation.Evaluate(run))])[^1].Errors[0];

        Assert.Equal(189.52e-6, error.ExpandedUncertaintyOfSpan, 0.01e-6);
    }

    private static ErrorSeries Series(double expandedUncertainty, params double[] errors) => new(
        1,
        SeriesDirection.Ascending,
        [.. errors.Select((error, year) => new DatedError(First.AddYears(year), $"run {year}", error, expandedUncertainty))]);

    private static RunRecord Run(string id, int day, double error)
    {
        RunRecord run = SampleRuns.Run(SampleRuns.Transmitter, SampleRuns.UpAndDown with { PointsOfSpan = [0, 1] }, (_, _, _) => error);
        return run with { Id = id, StartedUtc = run.StartedUtc.AddDays(day) };
    }
}
