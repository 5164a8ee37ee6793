using Barostep.Configuration;
using Barostep.Evaluation.Devices;
using Barostep.Procedures;
using Barostep.Procedures.Settling;
using Barostep.Records;

namespace Barostep.Tests.Procedures.Settling;

public class SettlingRunTests
{
    private static readonly Procedure _resting = Exercises.UpAndDown with
    {
        Preloads = 1,
        PreloadHoldMicros = 30_000_000,
        Settle = Exercises.Settle with { SlopeOfSpanPerSecond = 0, Rest = new PredictedRest(0.1) },
    };

    [Fact]
    public void Every_point_keeps_why_it_was_read_and_within_which_limit()
    {
        Rehearsal run = Rehearsal.Whole(_resting);

        Assert.Equal(6, run.Points.Count);
        Assert.All(run.Points, point =>
        {
            SettlingDecision decision = point.Settling!;
            Assert.Equal(0.1 * 0.005 * Exercises.SpanPascals, decision.LimitPascals, 6);
            Assert.True(decision.AtBeginning!.Value.Bound(decision.CoverageFactor) <= decision.LimitPascals);
            Assert.True(decision.OverReading!.Value.Bound(decision.CoverageFactor) <= decision.LimitPascals);
        });
    }

    [Fact]
    public void A_graded_dial_is_waited_for_by_the_limit_of_the_part_of_its_scale()
    {
        // ASME B40.100 grade A: 2 % of span in the outer quarters, 1 % in the middle half (docs/evaluation.md).
        DeviceDefinition dial = Exercises.Transmitter with { Grade = AsmeGrade.Find("A"), ToleranceOfSpan = 0.02 };
        var run = new Rehearsal(_resting, device: dial, lagSeconds: 3);
        run.ToTheEnd();

        double[] shares = [.. run.Points.Select(point => point.Settling!.LimitPascals / (0.1 * Exercises.SpanPascals))];
        Assert.Equal([0.02, 0.01, 0.02, 0.02, 0.01, 0.02], shares, (a, b) => Math.Abs(a - b) < 1e-12);
        Assert.All(run.Points, point => Assert.True(point.Settling!.OverReading!.Value.Bound(2) <= point.Settling.LimitPascals));
        Assert.Equal(run.Points.Select(p => (p.Settling!.AtBeginning, p.Settling.OverReading)), SettlingReplay.Of(run.Points.Select(p => p.Settling!)));
    }

    [Fact]
    public void The_decisions_of_a_run_come_out_the_same_from_what_its_points_recorded()
    {
        SettlingDecision[] decisions = [.. Rehearsal.Whole(_resting).Points.Select(point => point.Settling!)];

        Assert.Equal(decisions.Select(one => (one.AtBeginning, one.OverReading)), SettlingReplay.Of(decisions));
    }

    [Fact]
    public void A_pair_that_was_changed_afterwards_changes_the_decision()
    {
        SettlingDecision[] decisions = [.. Rehearsal.Whole(_resting).Points.Select(point => point.Settling!)];
        int last = decisions[1].Trail.Count - 1;
        TrailPair pair = decisions[1].Trail[last];
        decisions[1] = decisions[1] with
        {
            Trail = decisions[1].Trail.SetItem(last, pair with { Pair = pair.Pair with { ErrorPascals = pair.Pair.ErrorPascals + 50 } }),
        };

        Assert.NotEqual(decisions.Select(one => (one.AtBeginning, one.OverReading)), SettlingReplay.Of(decisions));
    }

    [Fact]
    public void A_device_that_is_still_on_its_way_is_waited_for()
    {
        Rehearsal quick = Rehearsal.Whole(_resting);
        Rehearsal slow = Rehearsal.Whole(_resting, lagSeconds: 3);

        for (int i = 1; i < 3; i++)
        {
            long waited = slow.Points[i].SettledMicros - slow.Points[i].ReachedMicros;
            Assert.True(waited > quick.Points[i].SettledMicros - quick.Points[i].ReachedMicros + 5_000_000, $"point {i + 1} waited {waited} us");
        }
    }

    [Fact]
    public void A_reading_across_a_disturbance_is_taken_again()
    {
        var run = new Rehearsal(_resting, lagSeconds: 3);
        run.Until(r => r.AtPoint(1, RunPhase.Reading), 600);
        // 0.04 % of span: within the band, and more than the limit for a device that follows in 3 s.
        run.Miss = _ => 0.0004 * 0.9 * Exercises.SpanPascals * 3;
        run.Until(r => r.State.Phase != RunPhase.Reading, 30);

        Assert.Equal(RunPhase.Settling, run.State.Phase);
        Assert.Empty(run.State.Samples);
    }

    [Fact]
    public void A_device_that_never_rests_is_read_when_the_wait_is_over_and_marked()
    {
        var run = new Rehearsal(_resting) { Noise = step => step % 7 * 0.002 };
        run.ToTheEnd();

        Assert.Contains(run.Points, point => point.Marks.HasFlag(PointMarks.Unsettled));
    }

    [Fact]
    public void The_plain_criterion_keeps_no_pairs() =>
        Assert.All(Rehearsal.Whole(Exercises.UpAndDown).Points, point => Assert.Null(point.Settling));

    [Fact]
    public void Time_left_at_a_point_comes_from_its_own_fit()
    {
        var run = new Rehearsal(_resting, lagSeconds: 3);
        run.Until(r => r.AtPoint(1, RunPhase.Settling) && r.State.Model!.Forecast(1) is not null, 600);
        run.Run(2);
        double foretold = (run.State.Model!.SecondsUntil(0.1 * 0.005 * Exercises.SpanPascals, 3, 0.6) ?? 0) + (run.Now * 1e-6);
        run.UntilPhase(RunPhase.Reading);

        Assert.InRange((run.Now * 1e-6) - foretold, -4, 4);
    }
}
