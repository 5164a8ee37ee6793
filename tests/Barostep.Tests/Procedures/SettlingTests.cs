using Barostep.Procedures;
using Barostep.Records;

namespace Barostep.Tests.Procedures;

public class SettlingTests
{
    private static readonly StabilityCriterion Wide = new(0.001, 1_000_000, 0.001, 1_000_000, 60_000_000, TimeoutPolicy.Flag);

    [Fact]
    public void Outside_the_band_nothing_settles_however_steady_it_is()
    {
        Rehearsal run = AtTheMiddle(Wide);
        run.Miss = _ => -0.0015 * Exercises.SpanPascals;
        run.Run(20);
        Assert.Equal(RunPhase.Settling, run.State.Phase);

        run.Miss = null;
        run.UntilPhase(RunPhase.Reading, 10);
    }

    [Fact]
    public void While_the_slope_is_too_steep_nothing_settles_however_near_it_is()
    {
        // 40 Pa/s through a band of 1600 Pa: inside for half a minute, and above the allowed 16 Pa/s.
        Rehearsal run = AtTheMiddle(Wide with { SlopeOfSpanPerSecond = 0.00001 });
        long since = run.Now;
        run.Disturbance = r => (40 * (r.Now - since) / 1e6) - 600;
        run.Run(20);
        Assert.Equal(RunPhase.Settling, run.State.Phase);

        run.Disturbance = _ => 200;
        run.UntilPhase(RunPhase.Reading, 10);
    }

    [Fact]
    public void A_longer_window_settles_later()
    {
        Assert.InRange(SettlingMicros(Wide with { MinimumDwellMicros = 0, WindowMicros = 1_000_000 }), 0, 1_500_000);
        Assert.InRange(SettlingMicros(Wide with { MinimumDwellMicros = 0, WindowMicros = 6_000_000 }), 5_500_000, 6_500_000);
    }

    [Fact]
    public void A_longer_dwell_settles_later()
    {
        Assert.InRange(SettlingMicros(Wide with { MinimumDwellMicros = 6_000_000 }), 6_000_000, 6_100_000);
    }

    [Fact]
    public void A_single_spike_restarts_the_window()
    {
        StabilityCriterion settle = Wide with { WindowMicros = 4_000_000, MinimumDwellMicros = 0 };
        Rehearsal run = AtTheMiddle(settle).Run(3);
        long spikeAt = run.Now + Rehearsal.StepMicros;
        run.Disturbance = r => r.Now == spikeAt ? -0.0015 * Exercises.SpanPascals : 0;
        run.UntilPhase(RunPhase.Reading);
        Assert.InRange(run.State.SettledMicros - spikeAt, 4_000_000, 4_200_000);
        Assert.Equal(PointMarks.None, run.State.Marks);
    }

    [Fact]
    public void A_point_that_does_not_settle_in_time_is_read_and_flagged_where_the_procedure_says_so()
    {
        Rehearsal run = AtTheMiddle(Wide with { TimeoutMicros = 20_000_000 });
        run.Miss = _ => -0.0015 * Exercises.SpanPascals;
        run.ToTheEnd();
        Assert.Equal(RunOutcome.Completed, run.Ending.Outcome);
        Assert.Equal(PointMarks.Unsettled, run.Points[1].Marks);
        Assert.Equal(3, run.Points[1].Samples.Count);
        Assert.InRange(run.Points[1].SettledMicros - run.Points[1].RequestedMicros, 20_000_000, 20_100_000);
    }

    [Fact]
    public void A_point_that_does_not_settle_in_time_ends_the_run_where_the_procedure_says_so()
    {
        Rehearsal run = AtTheMiddle(Wide with { TimeoutMicros = 20_000_000, OnTimeout = TimeoutPolicy.Abort });
        run.Miss = _ => -0.0015 * Exercises.SpanPascals;
        run.ToTheEnd();
        Assert.Equal(RunOutcome.Aborted, run.Ending.Outcome);
        Assert.Contains("did not settle in time", run.Ending.Reason, StringComparison.Ordinal);
        Assert.Single(run.Points);
    }

    [Fact]
    public void A_point_that_is_never_reached_is_timed_out_as_well()
    {
        var run = new Rehearsal(Exercises.TwoPoints) { Miss = r => r.InSeries ? -0.01 * Exercises.SpanPascals : 0 };
        run.ToTheEnd();
        Assert.Equal(PointMarks.Unsettled, run.Points[1].Marks);
    }

    [Fact]
    public void Vented_the_weather_may_be_out_of_the_band_but_not_the_slope()
    {
        var run = new Rehearsal(Exercises.TwoPoints with { Settle = Wide }) { Disturbance = r => r.InSeries ? 0.01 * Exercises.SpanPascals : 0 };
        run.Until(r => r.Points.Count == 1, 60);
        Assert.Equal(PointMarks.None, run.Points[0].Marks);

        var drifting = new Rehearsal(Exercises.TwoPoints with { Settle = Wide }) { Disturbance = r => r.InSeries ? 0.005 * Exercises.SpanPascals * (r.Now / 1e6) : 0 };
        drifting.UntilPhase(RunPhase.Settling).Run(20);
        Assert.Equal(RunPhase.Settling, drifting.State.Phase);
    }

    private static long SettlingMicros(StabilityCriterion settle)
    {
        SequencerState settled = AtTheMiddle(settle).UntilPhase(RunPhase.Reading).State;
        return settled.SettledMicros - settled.ReachedMicros;
    }

    private static Rehearsal AtTheMiddle(StabilityCriterion settle) =>
        new Rehearsal(Exercises.TwoPoints with { Settle = settle }).Until(r => r.AtPoint(1, RunPhase.Settling), 60);
}
