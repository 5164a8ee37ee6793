using Barostep.Configuration;
using Barostep.Procedures;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Tests.Procedures;

public class RunPlanTests
{
    [Fact]
    public void A_series_rises_through_its_points_and_comes_down_through_the_same_ones_in_every_cycle()
    {
        RunPlan plan = Exercises.Plan(Exercises.UpAndDown with { Cycles = 2 });

        IEnumerable<(int, SeriesDirection, double)> once(int cycle) =>
        [
            (cycle, SeriesDirection.Ascending, 0), (cycle, SeriesDirection.Ascending, 0.5), (cycle, SeriesDirection.Ascending, 1),
            (cycle, SeriesDirection.Descending, 1), (cycle, SeriesDirection.Descending, 0.5), (cycle, SeriesDirection.Descending, 0),
        ];
        Assert.Equal([(0, SeriesDirection.Ascending, 0.08), .. once(1), .. once(2)], plan.Steps.Select(s => (s.Cycle, s.Direction, plan.Share(s.Target))));
        Assert.Equal(12, plan.PointCount);
    }

    [Fact]
    public void Without_a_descending_series_every_cycle_only_rises()
    {
        RunPlan plan = Exercises.Plan(Exercises.UpAndDown with { Descending = false, Cycles = 2 });
        Assert.Equal([0.08, 0, 0.5, 1, 0, 0.5, 1], plan.Steps.Select(s => plan.Share(s.Target)));
        Assert.All(plan.Steps, s => Assert.Equal(SeriesDirection.Ascending, s.Direction));
    }

    [Fact]
    public void Confirmation_zero_probe_preloads_and_leak_test_come_before_the_series_and_the_second_zero_after_it()
    {
        RunPlan plan = Exercises.Plan(Exercises.UpAndDown with
        {
            Confirmation = "Is the transmitter fitted?",
            ReadZero = true,
            Preloads = 2,
            LeakTest = new LeakTest(0.8, 1_000_000, 2_000_000, 0.001),
            PointsOfSpan = [0.5],
            Descending = false,
        });
        Assert.Equal(
            [
                StepKind.Confirm, StepKind.Zero, StepKind.Probe, StepKind.Preload, StepKind.Preload, StepKind.Preload, StepKind.Preload,
                StepKind.LeakTest, StepKind.Point, StepKind.Zero,
            ],
            plan.Steps.Select(s => s.Kind));
        Assert.Equal([0, 0, 0.08, 1, 0, 1, 0, 0.8, 0.5, 0], plan.Steps.Select(s => plan.Share(s.Target)));
    }

    [Fact]
    public void Only_a_point_at_the_atmosphere_is_reached_by_venting()
    {
        RunPlan gauge = Exercises.Plan(Exercises.UpAndDown);
        Assert.Equal([false, true, false, false, false, false, true], gauge.Steps.Select(s => s.ByVent));

        DeviceDefinition absolute = Exercises.Transmitter with
        {
            RangeFrom = new(0.5m, PressureUnit.Bar, PressureReference.Absolute),
            RangeTo = new(16.5m, PressureUnit.Bar, PressureReference.Absolute),
        };
        RunPlan fromHalfABar = Exercises.Plan(Exercises.TwoPoints, absolute);
        Assert.DoesNotContain(fromHalfABar.Steps, s => s.ByVent);
        Assert.Equal([224_000, 50_000, 850_000], fromHalfABar.Steps.Select(s => s.Target.Pascals));
    }

    [Fact]
    public void A_compound_range_crosses_the_atmosphere_by_venting()
    {
        DeviceDefinition compound = Exercises.Transmitter with { RangeFrom = Exercises.Gauge(-0.5m), RangeTo = Exercises.Gauge(0.5m) };
        RunPlan plan = Exercises.Plan(Exercises.UpAndDown with { Descending = false }, compound);
        Assert.Equal([false, false, true, false], plan.Steps.Select(s => s.ByVent));
        Assert.Equal([104_000, 50_000, 100_000, 150_000], plan.Steps.Select(s => s.Target.Pascals));
    }

    [Fact]
    public void The_first_point_of_each_series_has_no_side()
    {
        RunPlan plan = Exercises.Plan(Exercises.UpAndDown);
        Assert.Equal([false, true, false, false, true, false, false], plan.Steps.Select(s => s.Turning));
    }

    [Fact]
    public void Gauge_targets_count_from_the_atmosphere_that_is_given()
    {
        RunPlan plan = RunPlan.For(Exercises.TwoPoints, Exercises.Transmitter, Pressure.FromPascals(98_000));
        Assert.Equal(898_000, plan.Highest.Pascals);
        Assert.Equal(800_000, plan.InDeviceReference(plan.Highest));
    }
}
