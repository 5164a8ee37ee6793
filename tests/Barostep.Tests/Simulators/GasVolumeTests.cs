using Barostep.Simulators.Pneumatics;

namespace Barostep.Tests.Simulators;

public class GasVolumeTests
{
    private const double Litre = 1e-3;

    [Theory]
    // Self-computed from the formula of ISO 6358 with the ANR density 1.185 kg/m3 and 293.15 K.
    [InlineData(1e5, 8.295000e-3)]
    [InlineData(2e5, 8.295000e-3)]
    [InlineData(3.5e5, 7.949222e-3)]
    [InlineData(5e5, 6.686250e-3)]
    [InlineData(6e5, 5.021826e-3)]
    [InlineData(6.9e5, 1.667271e-3)]
    [InlineData(7e5, 0)]
    public void Flow_follows_ISO_6358(double downstreamPa, double expectedKgPerS) =>
        Assert.Equal(expectedKgPerS, Iso6358.MassFlow(1e-8, 0.3, 7e5, 293.15, downstreamPa), 5e-10);

    [Fact]
    public void Flow_is_continuous_where_it_turns_laminar()
    {
        double below = Iso6358.FlowShare(0.3, Iso6358.LaminarRatio - 1e-12);
        double above = Iso6358.FlowShare(0.3, Iso6358.LaminarRatio + 1e-12);
        Assert.Equal(below, above, 1e-9);
    }

    [Fact]
    public void Air_and_carbon_dioxide_choke_at_their_critical_ratios()
    {
        // Closed form (2/(k+1))^(k/(k-1)); 0.528 is the textbook figure for air.
        Assert.Equal(0.5282817877, Gas.Air.CriticalPressureRatio, 1e-9);
        Assert.Equal(0.5477235, Gas.CarbonDioxide.CriticalPressureRatio, 1e-7);
    }

    [Fact]
    public void Choked_flow_of_air_has_the_textbook_constant() =>
        // 0.0404 in SI, Cengel & Cimbala and others; 0.040415 with R = 287.05 J/(kg K).
        Assert.Equal(0.040415, Gas.Air.ChokedFlowFunction, 5e-7);

    [Fact]
    public void Helium_flows_by_the_ratio_of_choked_flow_functions()
    {
        double air = MassAfterVenting(Gas.Air);
        double helium = MassAfterVenting(Gas.Helium);
        // Lighter and monatomic: sqrt(287.05/2077.1) x (0.7262/0.6847), arithmetic from the closed form.
        Assert.Equal(0.3943, helium / air, 1e-3);

        static double MassAfterVenting(Gas gas)
        {
            FlowPath path = new() { Conductance = 1e-9, BeyondPa = 100 };
            GasVolume volume = new(gas, Litre, 7e5, 293.15, [path]);
            double before = volume.MassKg;
            volume.Step(1e-5);
            return before - volume.MassKg;
        }
    }

    [Fact]
    public void An_evacuated_tank_filled_without_heat_loss_reaches_kappa_times_the_supply_temperature()
    {
        // Transient filling in any thermodynamics text: 300 K becomes 420 K for air.
        FlowPath fill = new() { Conductance = 5e-9, BeyondPa = 1e6, BeyondK = 300 };
        GasVolume volume = new(Gas.Air, Litre, 1, 300, [fill]);
        Run(volume, 2);
        Assert.True(volume.PressurePa > 5e5);
        Assert.Equal(420, volume.TemperatureK, 0.01);
    }

    [Fact]
    public void Filling_without_heat_loss_follows_the_energy_balance()
    {
        // T2 = k Ti / (1 + (p1/p2)(k Ti/T1 - 1)): 100 kPa to 1.1 MPa from 293.15 K gives 396.00965 K.
        FlowPath fill = new() { Conductance = 1e-9, BeyondPa = 3e6, BeyondK = 293.15 };
        GasVolume volume = new(Gas.Air, Litre, 1e5, 293.15, [fill]);
        double before = 293.15;
        double beforePa = 1e5;
        while (volume.PressurePa < 1.1e6)
        {
            (before, beforePa) = (volume.TemperatureK, volume.PressurePa);
            volume.Step(1e-4);
        }

        double between = (1.1e6 - beforePa) / (volume.PressurePa - beforePa);
        Assert.Equal(396.00965, before + (between * (volume.TemperatureK - before)), 1e-3);
    }

    [Fact]
    public void Venting_choked_at_constant_temperature_is_exponential()
    {
        // V = 1 L, 1 mm hole, 293.15 K: tau = 6.41012 s; 11 to 1.9179 bar in 11.196 s.
        GasVolume volume = new(Gas.Air, Litre, 11e5, 293.15, [Hole()])
        {
            WallConductance = 300, // far above m cv per tau: the gas keeps the wall's temperature
        };
        Run(volume, 11.196, 1e-4);
        Assert.Equal(1.9179e5, volume.PressurePa, 0.002e5);
    }

    [Fact]
    public void Venting_choked_without_heat_loss_follows_its_power_law()
    {
        // The same ratio is reached after 9.08358 s when the gas cools by itself.
        GasVolume volume = new(Gas.Air, Litre, 11e5, 293.15, [Hole()]);
        Run(volume, 9.08358, 1e-4);
        Assert.Equal(1.9179e5, volume.PressurePa, 50.0);
        Assert.Equal(293.15 * Math.Pow(1.9179 / 11, 0.4 / 1.4), volume.TemperatureK, 0.05);
    }

    [Fact]
    public void A_fast_step_is_adiabatic_and_a_slow_one_isothermal()
    {
        double fast = TemperatureAfterVentingHalf(conductance: 1e-7);
        double slow = TemperatureAfterVentingHalf(conductance: 1e-13);
        Assert.Equal(293.15 * Math.Pow(0.5, 0.4 / 1.4), fast, 1.0);
        Assert.Equal(293.15, slow, 0.05);

        static double TemperatureAfterVentingHalf(double conductance)
        {
            FlowPath vent = new() { Conductance = conductance, BeyondPa = 1e5 };
            GasVolume volume = new(Gas.Nitrogen, Litre, 10e5, 293.15, [vent]) { WallConductance = 0.5 };
            double step = Math.Min(0.05, 1e-10 / conductance * 1e-1);
            while (volume.PressurePa > 5e5)
            {
                volume.Step(step);
            }

            return volume.TemperatureK;
        }
    }

    [Fact]
    public void Mass_and_energy_are_kept_between_gas_wall_and_supply()
    {
        FlowPath fill = new() { Conductance = 5e-9, BeyondPa = 2e6, BeyondK = 285 };
        GasVolume volume = new(Gas.Nitrogen, Litre, 1e5, 300, [fill]) { WallConductance = 2, WallHeatCapacity = 50 };
        double mass = volume.MassKg;
        double energy = volume.EnergyJ + (50 * volume.WallTemperatureK);
        Run(volume, 3);
        double brought = (volume.MassKg - mass) * Gas.Nitrogen.Cp * 285;
        Assert.True(volume.PressurePa > 1e6);
        Assert.Equal(energy + brought, volume.EnergyJ + (50 * volume.WallTemperatureK), 1e-6);
        fill.Conductance = 0;
        mass = volume.MassKg;
        energy = volume.EnergyJ + (50 * volume.WallTemperatureK);
        Run(volume, 10);
        Assert.Equal(mass, volume.MassKg);
        Assert.Equal(energy, volume.EnergyJ + (50 * volume.WallTemperatureK), 1e-6);
    }

    [Theory]
    [InlineData(20e5, -1)] // after an up step the warm gas cools: the pressure sags
    [InlineData(1e5, +1)] // after a down step the cold gas warms: the pressure creeps up
    public void A_closed_volume_drifts_after_a_step(double beyondPa, int direction)
    {
        FlowPath path = new() { Conductance = 5e-9, BeyondPa = beyondPa };
        GasVolume volume = new(Gas.Nitrogen, Litre, 8e5, 293.15, [path]) { WallConductance = 0.5, WallHeatCapacity = 300 };
        Run(volume, 0.05);
        path.Conductance = 0;
        double closedAt = volume.PressurePa;
        Run(volume, 150);
        Assert.Equal(direction, Math.Sign(volume.PressurePa - closedAt));
        Assert.True(Math.Abs(volume.PressurePa - closedAt) > 1000);
        Assert.Equal(volume.WallTemperatureK, volume.TemperatureK, 0.1);
    }

    private static FlowPath Hole()
    {
        // C that passes the ideal nozzle's choked flow: psi A / (rho0 sqrt(T0)); b is air's critical ratio.
        double area = Math.PI / 4 * 1e-6;
        double conductance = area * Gas.Air.ChokedFlowFunction / (Iso6358.ReferenceDensity * Math.Sqrt(293.15));
        return new FlowPath { Conductance = conductance, CriticalRatio = Gas.Air.CriticalPressureRatio, BeyondPa = 100 };
    }

    private static void Run(GasVolume volume, double seconds, double step = 1e-3)
    {
        long steps = (long)Math.Round(seconds / step);
        for (long i = 0; i < steps; i++)
        {
            volume.Step(step);
        }
    }
}
