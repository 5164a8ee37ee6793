using Barostep.Procedures;
using Barostep.Records;

namespace Barostep.Tests.Procedures;

public class OvershootTests
{
    private const double TooFar = 0.003 * Exercises.SpanPascals;

    [Fact]
    public void A_rising_point_that_was_passed_is_approached_again_from_below()
    {
        var run = new Rehearsal(Exercises.UpAndDown) { Miss = r => IsAt(r, 1) && r.State is { Reapproaches: 0 } ? TooFar : 0 };
        run.ToTheEnd();

        Assert.Equal(PointMarks.None, run.Points[1].Marks);
        var backing = run.Steps.Where(s => s.State.StepIndex == run.Plan.StepOf(1) && s.State is { BackingOff: true, Phase: RunPhase.Pressurising }).ToList();
        Assert.NotEmpty(backing);
        Assert.All(backing, s => Assert.True(s.Intent.Target < run.Plan.TargetOf(1)));
        var again = run.Steps.Where(s => s.State.StepIndex == run.Plan.StepOf(1) && s.State is { BackingOff: false, Reapproaches: 1 }).ToList();
        Assert.True(again[0].Seen.Bench.Reference.Value < run.Plan.TargetOf(1));
        Assert.All(again, s => Assert.True(s.Seen.Bench.Reference.Value <= run.Plan.TargetOf(1)));
    }

    [Fact]
    public void A_falling_point_that_was_passed_is_approached_again_from_above()
    {
        var run = new Rehearsal(Exercises.UpAndDown) { Miss = r => IsAt(r, 4) && r.State is { Reapproaches: 0 } ? -TooFar : 0 };
        run.ToTheEnd();

        Assert.Equal(PointMarks.None, run.Points[4].Marks);
        var backing = run.Steps.Where(s => s.State.StepIndex == run.Plan.StepOf(4) && s.State is { BackingOff: true, Phase: RunPhase.Pressurising }).ToList();
        Assert.NotEmpty(backing);
        Assert.All(backing, s => Assert.True(s.Intent.Target > run.Plan.TargetOf(4)));
    }

    [Fact]
    public void A_second_overshoot_is_flagged_and_the_point_read()
    {
        var run = new Rehearsal(Exercises.UpAndDown)
        {
            Miss = r => IsAt(r, 1) && !r.State.BackingOff && !r.State.Marks.HasFlag(PointMarks.WrongApproach) ? TooFar : 0,
        };
        run.ToTheEnd();
        Assert.Equal(PointMarks.WrongApproach, run.Points[1].Marks);
        Assert.Equal(1, run.Steps.Max(s => s.State.Reapproaches));
        Assert.Equal(PointMarks.None, run.Points[2].Marks);
    }

    [Fact]
    public void Where_the_procedure_says_flag_the_first_overshoot_is_flagged()
    {
        var run = new Rehearsal(Exercises.UpAndDown with { OnOvershoot = OvershootPolicy.Flag })
        {
            Miss = r => IsAt(r, 1) && !r.State.Marks.HasFlag(PointMarks.WrongApproach) ? TooFar : 0,
        };
        run.ToTheEnd();
        Assert.Equal(PointMarks.WrongApproach, run.Points[1].Marks);
        Assert.DoesNotContain(run.Steps, s => s.State.BackingOff);
    }

    [Fact]
    public void Passing_a_point_by_less_than_the_allowed_share_is_no_overshoot()
    {
        var run = new Rehearsal(Exercises.UpAndDown) { Miss = r => IsAt(r, 1) && r.State.Phase == RunPhase.Pressurising ? 0.0018 * Exercises.SpanPascals : 0 };
        run.ToTheEnd();
        Assert.Equal(PointMarks.None, run.Points[1].Marks);
        Assert.DoesNotContain(run.Steps, s => s.State.BackingOff);
    }

    [Theory]
    [InlineData(3, TooFar)]
    [InlineData(3, -TooFar)]
    public void The_first_point_of_a_series_has_no_side(int index, double miss)
    {
        var run = new Rehearsal(Exercises.UpAndDown)
        {
            Miss = r => IsAt(r, index) && r.Now - r.State.RequestedMicros < 3_000_000 ? miss : 0,
        };
        run.ToTheEnd();
        Assert.Equal(PointMarks.None, run.Points[index].Marks);
        Assert.DoesNotContain(run.Steps, s => s.State.BackingOff);
    }

    [Fact]
    public void Backing_off_never_leaves_the_range_of_the_plan()
    {
        // The point below the top is nearer to it than the way back would be: the ceiling was checked for the top only.
        Procedure crowded = Exercises.UpAndDown with { PointsOfSpan = [0.001, 0.004, 0.996, 1] };
        var run = new Rehearsal(crowded)
        {
            Miss = r => r.State.Reapproaches > 0 ? 0 : IsAt(r, 1) ? TooFar : IsAt(r, 5) ? -TooFar : 0,
        };
        run.ToTheEnd();
        Assert.Equal([run.Plan.StepOf(1), run.Plan.StepOf(5)], run.Steps.Where(s => s.State.BackingOff).Select(s => s.State.StepIndex).Distinct());
        Assert.All(run.Steps, s => Assert.True(
            s.Intent.Target >= run.Plan.Atmosphere && s.Intent.Target <= run.Plan.Highest, $"{s.Intent.Target}"));
        Assert.All(run.Points, p => Assert.Equal(PointMarks.None, p.Marks));
    }

    private static bool IsAt(Rehearsal run, int point) =>
        run.AtPoint(point, RunPhase.Pressurising) || run.AtPoint(point, RunPhase.Settling);
}
