using Barostep.Evaluation.Drift;

namespace Barostep.Tests.Evaluation.Drift;

public sealed class ControlChartTests
{
    [Fact]
    public void The_example_of_the_handbook_has_its_limits()
    {
        // NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2 (data and limits from memory; the arithmetic agrees).
        ControlChart chart = ControlChart.Of([49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1])!;

        Assert.Equal(50.81, chart.Centre, 1e-10);
        Assert.Equal(1.8778, chart.MeanRange, 5e-5);
        Assert.Equal(55.8041, chart.Upper, 5e-5);
        Assert.Equal(45.8159, chart.Lower, 5e-5);
        Assert.True(chart.InControl);
    }

    [Fact]
    public void A_jump_is_outside_in_its_range_and_in_its_value()
    {
        ControlChart chart = ControlChart.Of([0, 0.1, 0, 0.1, 0, 0.1, 0, 0.1, 0, 2])!;

        Assert.Equal([9], chart.Outside);
        Assert.Equal([9], chart.RangesOutside);
        Assert.False(chart.InControl);
    }

    [Fact]
    public void Two_values_make_no_chart() => Assert.Null(ControlChart.Of([1, 2]));
}
