using Barostep.Procedures.Settling;

namespace Barostep.Tests.Procedures.Settling;

public class RelaxationsTests
{
    [Fact]
    public void A_sudden_step_shows_in_full_and_fades_with_the_time_constant()
    {
        Relaxations after = Relaxations.AtRest(0, 1000).Follow(1, 2000);
        for (int k = 0; k < Relaxations.TimeConstants.Length; k++)
        {
            double tau = Relaxations.TimeConstants[k];
            Assert.Equal(1000, after.Behind[k], 0.1);
            Assert.Equal(1000 * Math.Exp(-1), after.At(1 + (long)(tau * 1e6))[k], 0.1);
        }
    }

    [Fact]
    public void A_long_ramp_leaves_each_behind_by_the_rate_times_its_time_constant()
    {
        // A first-order lag follows a ramp at a distance of rate times time constant: textbook, no single source.
        Relaxations ramp = Relaxations.AtRest(0, 0);
        for (int i = 1; i <= 20; i++)
            ramp = ramp.Follow(i * 1_000_000L, 50.0 * i);

        Assert.Equal(50 * Relaxations.TimeConstants[0], ramp.Behind[0], 9);
        Assert.Equal(50 * Relaxations.TimeConstants[6], ramp.Behind[6], 6);
    }

    [Fact]
    public void The_way_a_straight_line_is_cut_up_changes_nothing()
    {
        Relaxations whole = Relaxations.AtRest(0, 0).Follow(3_000_000, 300);
        Relaxations parts = Relaxations.AtRest(0, 0).Follow(700_000, 70).Follow(1_900_000, 190).Follow(3_000_000, 300);

        for (int k = 0; k < Relaxations.TimeConstants.Length; k++)
            Assert.Equal(whole.Behind[k], parts.Behind[k], 9);
    }

    [Fact]
    public void A_reading_that_is_not_newer_changes_nothing() =>
        Assert.All(Relaxations.AtRest(5, 10).Follow(5, 99).Behind, behind => Assert.Equal(0, behind));
}
