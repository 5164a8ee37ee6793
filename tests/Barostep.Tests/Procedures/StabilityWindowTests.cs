using Barostep.Procedures;

namespace Barostep.Tests.Procedures;

public class StabilityWindowTests
{
    private const long Second = 1_000_000;

    [Fact]
    public void A_window_is_stable_only_when_it_is_full()
    {
        StabilityWindow window = StabilityWindow.Empty;
        for (int i = 0; i <= 9; i++)
            window = window.Add(i * Second / 10, 500, Second);
        Assert.False(window.IsStable(500, 1, Second, 1));
        Assert.True(window.Add(Second, 500, Second).IsStable(500, 1, Second, 1));
    }

    [Fact]
    public void Few_readings_say_nothing_however_long_they_took()
    {
        StabilityWindow window = StabilityWindow.Empty;
        for (int i = 0; i < 4; i++)
            window = window.Add(i * Second, 500, 10 * Second);
        Assert.False(window.IsStable(500, 1, 3 * Second, 1));
    }

    [Fact]
    public void One_reading_outside_the_band_counts_until_it_has_left_the_window()
    {
        StabilityWindow window = Filled(i => i == 10 ? 503 : 500, 11);
        Assert.False(window.IsStable(500, 1, Second, 100));
        for (int i = 11; i <= 20; i++)
        {
            window = window.Add(i * Second / 10, 500, Second);
            Assert.False(window.IsStable(500, 1, Second, 100));
        }

        Assert.True(window.Add(21 * Second / 10, 500, Second).IsStable(500, 1, Second, 100));
    }

    [Fact]
    public void The_slope_of_a_straight_line_is_its_slope()
    {
        // Ten pascals a second, sampled every tenth: least squares finds a straight line exactly.
        StabilityWindow window = Filled(i => 500 + i, 11);
        Assert.Equal(10, window.SlopePerSecond(), 9);
        Assert.False(window.IsStable(505, 50, Second, 9.9));
        Assert.True(window.IsStable(505, 50, Second, 10.1));
    }

    [Fact]
    public void A_fall_is_a_slope_too()
    {
        StabilityWindow window = Filled(i => 500 - i, 11);
        Assert.Equal(-10, window.SlopePerSecond(), 9);
        Assert.False(window.IsStable(495, 50, Second, 9.9));
    }

    [Fact]
    public void Adding_leaves_the_window_that_was_added_to_as_it_was()
    {
        StabilityWindow full = Filled(_ => 500, 11);
        full.Add(11 * Second / 10, 900, Second);
        Assert.True(full.IsStable(500, 1, Second, 1));
    }

    private static StabilityWindow Filled(Func<int, double> pascals, int count)
    {
        StabilityWindow window = StabilityWindow.Empty;
        for (int i = 0; i < count; i++)
            window = window.Add(i * Second / 10, pascals(i), Second);
        return window;
    }
}
