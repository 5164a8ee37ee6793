using Barostep.Safety;

namespace Barostep.Tests.Safety.Budget;

/// <summary>The sizing figures of the safety requirements, C.6: computed for that document by a separate program.</summary>
public class DumpSizingTests
{
    [Theory]
    [InlineData(1, 7.43)]
    [InlineData(2, 4.37)]
    [InlineData(3, 2.66)]
    [InlineData(4, 1.74)]
    [InlineData(5, 1.22)]
    [InlineData(6, 0.90)]
    [InlineData(8, 0.54)]
    [InlineData(10, 0.36)]
    [InlineData(20, 0.10)]
    [InlineData(0.85, 8.0)]
    [InlineData(1.41, 6.0)]
    [InlineData(2.74, 3.0)]
    [InlineData(3.65, 2.0)]
    [InlineData(5.63, 1.0)]
    [InlineData(8.36, 0.5)]
    public void An_open_dump_holds_a_stuck_fill_down(double dumpToFill, double gaugeBar)
    {
        BudgetInputs inputs = Benches.Table(0.01, 50, 9600) with { DumpConductance = 0.01 * dumpToFill * Benches.ConductanceUnit };
        double found = (OvershootBudget.Evaluate(inputs).StuckOpenPascals - Benches.Atmosphere) / Benches.Bar;
        Assert.Equal(gaugeBar, found, 0.02);
    }

    [Theory]
    [InlineData(50, 0.1, 2, 0.57)]
    [InlineData(50, 0.1, 6, 1.00)]
    [InlineData(50, 0.1, 10, 1.22)]
    [InlineData(250, 0.1, 2, 2.9)]
    [InlineData(250, 0.1, 6, 5.0)]
    [InlineData(250, 0.1, 10, 6.1)]
    [InlineData(1000, 0.1, 2, 11.5)]
    [InlineData(1000, 0.1, 6, 19.9)]
    [InlineData(1000, 0.1, 10, 24.5)]
    [InlineData(1000, 0.5, 2, 2.3)]
    [InlineData(1000, 0.5, 6, 4.0)]
    [InlineData(1000, 0.5, 10, 4.9)]
    public void Venting_takes_its_time(double millilitres, double conductance, double gaugeBar, double seconds)
    {
        OvershootReport report = OvershootBudget.Evaluate(At(gaugeBar, millilitres) with { DumpConductance = conductance * Benches.ConductanceUnit });

        // The document gives two decimals below two seconds and one above.
        Assert.Equal(seconds, report.VentSeconds, seconds < 2 ? 0.006 : 0.051);
        Assert.Equal(millilitres / 1000 / (conductance * 0.997), report.VentTimeConstantSeconds, 0.001 * report.VentTimeConstantSeconds);
    }

    [Theory]
    [InlineData(50, 10, 68)]
    [InlineData(1000, 2, 202)]
    [InlineData(1000, 6, 745)]
    [InlineData(1000, 10, 1360)]
    [InlineData(1000, 40, 6700)]
    [InlineData(1000, 100, 18500)]
    public void Compressed_gas_stores_energy(double millilitres, double gaugeBar, double joules) =>
        Assert.Equal(joules, OvershootBudget.Evaluate(At(gaugeBar, millilitres)).StoredEnergyJoules, 0.006 * joules);

    [Fact]
    public void A_flow_stops_where_the_pressures_meet()
    {
        // Reference values, 12.1: C 1e-8, b 0.3, 7 bar absolute upstream: 8.295 g/s choked.
        Assert.Equal(1, RestrictorFlow.Fraction(2.0 / 7, 0.3));
        Assert.Equal(7.949222 / 8.295, RestrictorFlow.Fraction(0.5, 0.3), 1e-6);
        Assert.Equal(5.021826 / 8.295, RestrictorFlow.Fraction(6.0 / 7, 0.3), 1e-6);
        Assert.Equal(0, RestrictorFlow.Fraction(1, 0.3));
    }

    private static BudgetInputs At(double gaugeBar, double millilitres) => Benches.Table(0.005, millilitres, 9600) with
    {
        Limits = Benches.Limits(Benches.Gauge(gaugeBar)),
    };
}
