using System.Globalization;
using Barostep.Simulators;

namespace Barostep.Tests.Simulators;

public class ControllerTests
{
    private const double SpanPa = 16e5;

    private readonly SimulatedBench _bench = DemoBench.Load(1);
    private readonly Host _controller;

    public ControllerTests()
    {
        _bench.AdvanceTo(100_000);
        _controller = new Host(_bench, "controller");
    }

    private double GaugePa => _bench.Truth.PressurePa - _bench.Truth.AtmospherePa;

    [Theory]
    [InlineData(8)]
    [InlineData(16)]
    [InlineData(0.5)]
    public void Lands_on_the_set_point_at_the_rate_without_passing_it_by_much(double bar)
    {
        double highestPa = 0;
        double steepestPaPerS = 0;
        double beforePa = GaugePa;
        _bench.SampleTruth(100_000, state =>
        {
            double gaugePa = state.PressurePa - state.AtmospherePa;
            highestPa = Math.Max(highestPa, gaugePa);
            steepestPaPerS = Math.Max(steepestPaPerS, (gaugePa - beforePa) / 0.1);
            beforePa = gaugePa;
        });
        _controller.Send($"SOUR:PRES:TARG {bar.ToString(CultureInfo.InvariantCulture)};:SOUR:MODE CONT");
        Run(bar + 10);
        Assert.Equal(bar * 1e5, GaugePa, 2e-4 * SpanPa);
        Assert.True(highestPa < (bar * 1e5) + (5e-4 * SpanPa), $"{highestPa} Pa");
        Assert.True(steepestPaPerS < 1.25e5, $"{steepestPaPerS} Pa/s");
        Assert.Equal("0", _controller.Ask("STAT:OPER:COND?"));
    }

    [Fact]
    public void Goes_down_and_vents_to_the_room()
    {
        _controller.Send("SOUR:PRES:TARG 8;:SOUR:MODE CONT");
        Run(18);
        _controller.Send("SOUR:PRES:TARG 4");
        Run(14);
        Assert.Equal(4e5, GaugePa, 2e-4 * SpanPa);
        _controller.Send("SOUR:MODE VENT");
        Run(20);
        Assert.Equal(0, GaugePa, 10.0);
        Assert.Equal(1, _bench.Truth.VentOpening);
        Assert.Equal(0, _bench.Truth.FillOpening);
    }

    [Fact]
    public void Hold_shuts_every_valve_and_the_warm_gas_sags()
    {
        _controller.Send("SOUR:PRES:RATE 2;TARG 12;:SOUR:MODE CONT");
        Run(8);
        _controller.Send("SOUR:MODE HOLD");
        Run(0.1);
        double held = GaugePa;
        Assert.Equal((0, 0), (_bench.Truth.FillOpening, _bench.Truth.VentOpening));
        Run(60);
        Assert.InRange(held - GaugePa, 10_000, 100_000);
    }

    [Fact]
    public void A_set_point_above_its_own_limit_is_rejected_and_the_old_one_stays()
    {
        Assert.Equal("1.000000E+01,BAR,GAUG;5.000000E+00,BAR,GAUG", _controller.Ask("*CLS;:SOUR:PRES:LIM 10;LIM?;TARG 5;TARG 10.5;TARG?"));
        Assert.StartsWith("-222", _controller.Ask("SYST:ERR?"));
    }

    [Fact]
    public void Passing_its_own_limit_vents_by_itself_and_says_so()
    {
        _controller.Send("*CLS;:SOUR:PRES:LIM 3;TARG 2.9;:SOUR:MODE CONT");
        Run(5);
        _bench.Inject("fault plant fill stuck 1");
        _bench.Inject("fault plant vent stuck 0");
        Run(2);
        Assert.Equal("VENT", _controller.Ask("SOUR:MODE?"));
        Assert.StartsWith("-300", _controller.Ask("SYST:ERR?"));
    }

    [Fact]
    public void A_restart_vents_forgets_the_limit_and_counts()
    {
        _controller.Send("UNIT:PRES KPAL;:SOUR:PRES:LIM 1000;TARG 500;:SOUR:MODE CONT");
        Run(8);
        Assert.True(GaugePa > 3e5);
        _bench.Inject("fault controller restart");
        Assert.Equal("", _controller.Ask("*IDN?", 500_000));
        Run(30);
        Assert.Equal("VENT;2.000000E+01,BAR,GAUG;1", _controller.Ask("SOUR:MODE?;:SOUR:PRES:LIM?;:SYST:REST?"));
        Assert.Equal("128", _controller.Ask("*ESR?"));
        Assert.Equal(0, GaugePa, 10.0);
    }

    [Fact]
    public void Absolute_readings_count_from_its_own_barometer()
    {
        string[] words = _controller.Ask("UNIT:PRES PAL;REF ABS;:MEAS:PRES?").Split(',');
        Assert.Equal("PAL,ABS", $"{words[1]},{words[2]}");
        // 1009.4 mbar, 8 Pa barometer offset, 35 Pa sensor offset, noise of 6 Pa.
        Assert.Equal(100_940 + 8 + 35, double.Parse(words[0], CultureInfo.InvariantCulture), 36.0);
    }

    [Fact]
    public void A_controller_with_a_vacuum_source_goes_below_the_atmosphere()
    {
        BenchDescription demo = DemoBench.Description;
        SimulatedBench bench = new(demo with { Plant = demo.Plant with { Vacuum = new ValveDescription(2e-9), VacuumPa = 1_000 } }, 1);
        bench.AdvanceTo(100_000);
        new Host(bench, "controller").Send("SOUR:PRES:TARG -0.5;:SOUR:MODE CONT");
        bench.AdvanceTo(20_000_000);
        Assert.Equal(-0.5e5, bench.Truth.PressurePa - bench.Truth.AtmospherePa, 2e-4 * SpanPa);
    }

    private void Run(double seconds) => _bench.AdvanceTo(_bench.NowMicros + (long)(seconds * 1e6));
}
