using Barostep.Procedures;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Tests.Procedures;

public class LandingTests
{
    private static readonly Procedure _avoiding = Exercises.UpAndDown with { Preloads = 1, OnOvershoot = OvershootPolicy.Avoid };

    [Theory]
    [InlineData(0.01)]
    [InlineData(0.03)]
    public void A_source_that_passed_its_set_point_in_the_preload_passes_no_point(double share)
    {
        Rehearsal caught = Passing(_avoiding with { OnOvershoot = OvershootPolicy.Again }, share);
        Rehearsal avoided = Passing(_avoiding, share);

        Assert.Contains(caught.Steps, step => step.State.BackingOff);
        Assert.DoesNotContain(avoided.Steps, step => step.State.BackingOff);
        Assert.All(avoided.Points, point => Assert.Equal(PointMarks.None, point.Marks));
    }

    [Fact]
    public void What_is_asked_for_first_lies_before_the_point()
    {
        Rehearsal run = Passing(_avoiding, 0.03);
        int step = run.Plan.StepOf(1);
        Pressure point = run.Plan.TargetOf(1);
        var asked = run.Steps.Where(s => s.State.StepIndex == step && s.State.Phase == RunPhase.Pressurising).ToList();

        Assert.True(asked[0].Intent.Target < point);
        Assert.All(asked, s => Assert.True(s.Intent.Target <= point));
        Assert.Equal(point, asked[^1].Intent.Target);
    }

    [Fact]
    public void A_source_that_passes_by_its_own_lag_is_asked_for_the_rest_more_slowly()
    {
        // Twice what is allowed at the full rate, whatever the step is.
        Rehearsal run = Passing(
            _avoiding with { PointsOfSpan = [0, 0.2, 0.4, 0.6, 0.8, 1], Descending = false },
            (way, ratePascals) => Math.Sign(way) * 0.04 * ratePascals);
        int last = run.Plan.StepOf(5);
        long[] rates = [.. run.Steps.Where(s => s.State.StepIndex == last && s.State.Phase == RunPhase.Pressurising).Select(s => s.Intent.RateMilliPascalsPerSecond)];

        Assert.True(rates[^1] < rates[0], $"{rates[0]} mPa/s at first, {rates[^1]} mPa/s at last");
        Assert.Equal(PointMarks.None, run.Points[^1].Marks);
    }

    [Fact]
    public void A_source_that_lands_well_is_asked_for_each_point_at_once()
    {
        Rehearsal plain = new Rehearsal(_avoiding with { OnOvershoot = OvershootPolicy.Again }).ToTheEnd();
        Rehearsal avoiding = new Rehearsal(_avoiding).ToTheEnd();

        Assert.Equal(plain.Steps.Select(s => s.Intent), avoiding.Steps.Select(s => s.Intent));
    }

    [Fact]
    public void A_source_that_comes_to_pass_more_is_learned_anew()
    {
        var landing = new Landing(0.01, 0);

        Assert.Equal(0.02, landing.Learn(20_000, 1_000_000, 1_000, inTwo: false).PassedOfStep, 12);
        Assert.Equal(0.5, landing.Learn(20_000, 1_000_000, 1_000, inTwo: true).RateShare, 12);
        Assert.Equal(landing, landing.Learn(400, 1_000_000, 1_000, inTwo: true));
    }

    private static Rehearsal Passing(Procedure procedure, double share) => Passing(procedure, (way, _) => share * way);

    /// <summary>A whole run with a source that passes each set point, by what its way and rate make of it, and comes back within a second.</summary>
    private static Rehearsal Passing(Procedure procedure, Func<double, double, double> beyondPascals)
    {
        Pressure asked = default;
        double beyond = 0;
        return new Rehearsal(procedure)
        {
            Miss = run =>
            {
                Pressure now = run.Seen.Bench.Reference.Value;
                if (run.Intent.Target != asked)
                {
                    asked = run.Intent.Target;
                    beyond = beyondPascals((asked - now).Pascals, run.Intent.RateMilliPascalsPerSecond / 1000.0);
                }

                if (Math.Abs((now - asked).Pascals - beyond) < 1)
                    beyond *= 0.8;
                return beyond;
            },
        }.ToTheEnd();
    }
}
