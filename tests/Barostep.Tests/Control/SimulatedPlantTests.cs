using Barostep.Configuration;
using Barostep.Control;
using Barostep.Safety;
using Barostep.Simulators;
using Barostep.Tests.Configuration;

namespace Barostep.Tests.Control;

/// <summary>The simulated plants keep to what the shipped bench files say of them, or every predicted figure would be idle.</summary>
public class SimulatedPlantTests
{
    private static readonly WorkshopConfiguration Workshop = ShippedConfiguration.Load().Configuration;

    [Theory]
    [InlineData("demo")]
    [InlineData("gauge")]
    [Trait("SR", "02")]
    public void A_simulated_plant_is_no_worse_than_its_bench_file_says(string name)
    {
        BenchDefinition bench = Workshop.Benches[name];
        BenchDescription simulated = BenchFile.Load(Path.Combine(ShippedConfiguration.Repository, "simulators", "Barostep.Simulators", "benches", $"{name}.toml"));
        PlantDescription plant = simulated.Plant;
        Pressure atmosphere = BenchLimits.AtmosphereOf(bench);

        Assert.Equal(bench.GasPath.Gas, plant.Gas);
        Assert.Equal(atmosphere.Pascals, plant.AtmospherePa, 1e-6);
        Assert.True(plant.SupplyPa <= bench.GasPath.SupplyMaximum.ToAbsolute(atmosphere).Pascals);
        Assert.True(plant.AmbientTemperatureK <= bench.GasPath.SupplyTemperatureKelvin);
        Assert.InRange(plant.VolumeM3, bench.GasPath.VolumeMinimum, bench.GasPath.VolumeMaximum);
        Assert.Equal(bench.GasPath.Fill.Conductance, plant.Fill.Conductance, 1e-16);
        Assert.Equal(bench.GasPath.Fill.CriticalRatio, plant.Fill.CriticalRatio, 1e-9);
        Assert.Equal(bench.GasPath.Vent.Conductance, plant.Vent.Conductance, 1e-16);
        FittedReliefValve relief = bench.Protection.ReliefValve!;
        double set = (relief.SetPressure.ToAbsolute(atmosphere) - atmosphere).Pascals;
        Assert.InRange(plant.ReliefPa!.Value - atmosphere.Pascals, set * (1 - relief.Tolerance), set * (1 + relief.Tolerance));
        Assert.Equal(relief.Conductance, plant.ReliefConductance, 1e-16);
    }

    [Theory]
    [InlineData("demo")]
    [InlineData("gauge")]
    [Trait("SR", "02")]
    public void The_simulated_instruments_are_no_slower_than_the_bench_file_says(string name)
    {
        ReactionTimes times = Workshop.Benches[name].Reaction;
        BenchDescription simulated = BenchFile.Load(Path.Combine(ShippedConfiguration.Repository, "simulators", "Barostep.Simulators", "benches", $"{name}.toml"));
        InstrumentDescription reference = simulated.Instruments.Single(instrument => instrument.Kind == InstrumentKind.Reference);

        Assert.True(reference.UpdateMicros <= times.ConversionAge * 1e6);
        Assert.True(reference.LagMicros <= times.SensorLag * 1e6);
        Assert.All(simulated.Instruments, instrument => Assert.True(instrument.TurnaroundMicros <= times.Turnaround * 1e6));
        // The controller takes a command up at the next turn of its loop, every 10 ms.
        Assert.True(simulated.Plant.Fill.DeadTimeMicros + 10_000 <= times.ValveDead * 1e6);
        Assert.True(simulated.Plant.Fill.TravelTimeMicros <= times.ValveClose * 1e6);
    }
}
