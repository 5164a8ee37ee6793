using Barostep.Simulators;
using Barostep.Simulators.Pneumatics;

namespace Barostep.Tests.Simulators;

public class PlantTests
{
    private const double FullScalePa = 16e5;

    [Fact]
    public void Halving_the_step_moves_the_pressure_by_less_than_a_hundred_thousandth_of_full_scale()
    {
        Plant coarse = new(Description());
        Plant fine = new(Description());
        double worst = 0;
        for (long ms = 0; ms < 20_000; ms++)
        {
            Work(coarse, ms);
            Work(fine, ms);
            coarse.Step(ms * 1000);
            fine.Step(ms * 1000, 500);
            fine.Step((ms * 1000) + 500, 500);
            worst = Math.Max(worst, Math.Abs(coarse.PressurePa - fine.PressurePa));
        }

        Assert.True(coarse.Volume.MassKg > 0);
        Assert.True(worst < 1e-5 * FullScalePa, $"{worst} Pa");
        Assert.True(worst > 0, "both runs took the same steps");

        static void Work(Plant plant, long ms)
        {
            switch (ms)
            {
                case 10:
                    plant.Fill.Command(1, ms * 1000);
                    break;
                case 6_000:
                    plant.Fill.Command(0.1, ms * 1000);
                    break;
                case 9_000:
                    plant.Fill.Command(0, ms * 1000);
                    plant.Vent.Command(0.3, ms * 1000);
                    break;
                case 12_000:
                    plant.Vent.Command(1, ms * 1000);
                    break;
            }
        }
    }

    [Fact]
    public void A_burst_stays_finite_and_ends_at_the_atmosphere()
    {
        Plant plant = new(Description());
        plant.Fill.StuckAt = 1;
        Run(plant, 0, 5_000);
        Assert.True(plant.GaugePa > 5e5);
        plant.Fill.StuckAt = 0;
        plant.LeakConductance = 1e-5;
        Run(plant, 5_000, 5_000);
        Assert.Equal(0, plant.GaugePa, 50.0);
        Assert.InRange(plant.Volume.TemperatureK, 150, 300);
    }

    [Fact]
    public void A_valve_moves_after_its_dead_time_at_its_travel_speed()
    {
        Valve valve = new(new ValveDescription(1e-9, DeadTimeMicros: 5_000, TravelTimeMicros: 20_000));
        valve.Command(1, 0);
        for (long t = 0; t < 5_000; t += 1_000)
        {
            Assert.Equal(0, valve.Advance(t, 1e-3));
        }

        for (long t = 5_000; t < 15_000; t += 1_000)
        {
            valve.Advance(t, 1e-3);
        }

        Assert.Equal(0.5, valve.Opening, 1e-12);
        valve.StuckAt = 0.25;
        Assert.Equal(0.25, valve.Advance(15_000, 1e-3));
    }

    [Fact]
    public void The_relief_valve_opens_at_its_set_pressure_and_closes_below_it()
    {
        Plant plant = new(Description() with { ReliefPa = 10e5, ReliefHysteresis = 0.1, ReliefConductance = 5e-9 });
        plant.Fill.StuckAt = 1;
        double highest = 0;
        double lowestAfter = double.MaxValue;
        for (long ms = 0; ms < 30_000; ms++)
        {
            plant.Step(ms * 1000);
            highest = Math.Max(highest, plant.PressurePa);
            lowestAfter = highest > 10e5 ? Math.Min(lowestAfter, plant.PressurePa) : lowestAfter;
        }

        Assert.InRange(highest, 10e5, 10.1e5);
        Assert.InRange(lowestAfter, 8.9e5, 9.2e5);
    }

    [Fact]
    public void A_vacuum_source_pulls_below_the_atmosphere()
    {
        Plant plant = new(Description() with { Vacuum = new ValveDescription(1e-9), VacuumPa = 2_000 });
        plant.Vacuum!.Command(1, 0);
        Run(plant, 0, 20_000);
        Assert.InRange(plant.PressurePa, 2_000, 2_500);
    }

    private static PlantDescription Description() => new()
    {
        Gas = "nitrogen",
        VolumeM3 = 0.15e-3,
        SupplyPa = 21e5,
        Fill = new ValveDescription(1.2e-10),
        Vent = new ValveDescription(6e-10),
    };

    private static void Run(Plant plant, long fromMs, long ms)
    {
        for (long t = fromMs; t < fromMs + ms; t++)
        {
            plant.Step(t * 1000);
        }
    }
}
