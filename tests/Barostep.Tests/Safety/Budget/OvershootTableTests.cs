using Barostep.Safety;

namespace Barostep.Tests.Safety.Budget;

/// <summary>The worked figures of the safety requirements, C.4: computed for that document by a separate program.</summary>
public class OvershootTableTests
{
    [Theory]
    [InlineData(9600, 0.001, 37.25, 17.5, 232, 292)]
    [InlineData(9600, 0.016, 52.25, 17.5, 264, 327)]
    [InlineData(19200, 0.001, 21.6, 11.3, 195, 255)]
    [InlineData(38400, 0.001, 13.8, 8.1, 176, 236)]
    [InlineData(115200, 0.001, 8.6, 6.0, 163, 223)]
    [InlineData(115200, 0.016, 23.6, 6.0, 193, 253)]
    public void Times_follow_line_speed_and_adapter_latency(
        double baud, double usb, double read, double command, double level, double stale)
    {
        OvershootReport report = OvershootBudget.Evaluate(Benches.Table(0.005, 50, baud, usb));

        Assert.Equal(read, report.ReadSeconds * 1000, 0.06);
        Assert.Equal(command, report.CommandSeconds * 1000, 0.06);
        Assert.Equal(level, report.Level.Times.Total * 1000, 0.51);
        Assert.Equal(stale, report.Stale.Times.Total * 1000, 0.51);
    }

    [Theory]
    [InlineData(9600, 642, 147.25)]
    [InlineData(115200, 614, 118.6)]
    public void The_keep_alive_path_counts_the_sampling_delays_too(double baud, double milliseconds, double stale)
    {
        OvershootReport report = OvershootBudget.Evaluate(Benches.Table(0.005, 50, baud));

        Assert.Equal(milliseconds, report.KeepAlive.Times.Total * 1000, 0.51);
        Assert.Equal(stale, report.StaleAgeSeconds * 1000, 0.06);
    }

    [Theory]
    [InlineData(362, 422, 9600)]
    [InlineData(293, 353, 115200)]
    public void Sharing_a_process_with_the_web_server_costs_130_ms(double level, double stale, double baud)
    {
        BudgetInputs inputs = Benches.Table(0.005, 50, baud);
        OvershootReport report = OvershootBudget.Evaluate(inputs with { Timing = inputs.Timing with { ExecutionSeconds = 0.150 } });

        Assert.Equal(level, report.Level.Times.Total * 1000, 0.51);
        Assert.Equal(stale, report.Stale.Times.Total * 1000, 0.51);
    }

    [Theory]
    [Trait("SR", "12")]
    [InlineData(0.150, 130)]
    [InlineData(0.010, 0)]
    public void A_lease_longer_than_deciding_takes_counts_where_readings_stop(double leaseSeconds, double moreMilliseconds)
    {
        BudgetInputs inputs = Benches.Table(0.005, 50, 9600);
        OvershootReport without = OvershootBudget.Evaluate(inputs);
        OvershootReport with = OvershootBudget.Evaluate(inputs with { Timing = inputs.Timing with { LeaseSeconds = leaseSeconds } });

        Assert.Equal(moreMilliseconds, (with.Stale.Times.Total - without.Stale.Times.Total) * 1000, 1e-6);
        Assert.Equal(without.Level.Times.Total, with.Level.Times.Total);
        Assert.True(with.Stale.WorstPascals >= without.Stale.WorstPascals);
    }

    public static TheoryData<double, double, double, double[]> Rises => new()
    {
        { 0.005, 50, 1.54, [0.357, 0.449, 0.251, 0.343, 0.987, 0.943, 0.100] },
        { 0.005, 100, 0.769, [0.178, 0.224, 0.125, 0.172, 0.494, 0.472, 0.050] },
        { 0.005, 250, 0.307, [0.071, 0.090, 0.050, 0.069, 0.197, 0.189, 0.020] },
        { 0.005, 1000, 0.077, [0.018, 0.022, 0.013, 0.017, 0.049, 0.047, 0.005] },
        { 0.01, 50, 3.07, [0.713, 0.898, 0.502, 0.686, 1.975, 1.887, 0.200] },
        { 0.01, 1000, 0.154, [0.036, 0.045, 0.025, 0.034, 0.099, 0.094, 0.010] },
        { 0.05, 50, 15.4, [3.57, 4.49, 2.51, 3.43, 9.9, 9.4, 1.00] },
        { 0.05, 250, 3.07, [0.713, 0.898, 0.502, 0.686, 1.975, 1.887, 0.200] },
        { 0.05, 1000, 0.769, [0.178, 0.224, 0.125, 0.172, 0.494, 0.472, 0.050] },
        { 0.1, 50, 30.7, [7.1, 9.0, 5.0, 6.9, 10.0, 10.0, 2.00] },
        { 0.1, 250, 6.15, [1.43, 1.80, 1.00, 1.37, 3.95, 3.77, 0.40] },
        { 0.1, 1000, 1.54, [0.357, 0.449, 0.251, 0.343, 0.987, 0.943, 0.100] },
    };

    // The ceiling stands at the atmosphere here, so that the supply limits nothing below a rise of 10 bar.
    [Theory]
    [MemberData(nameof(Rises))]
    public void Rises_follow_conductance_and_volume(double conductance, double millilitres, double rate, double[] bars)
    {
        OvershootReport slow = OvershootBudget.Evaluate(Benches.Table(conductance, millilitres, 9600));
        OvershootReport fast = OvershootBudget.Evaluate(Benches.Table(conductance, millilitres, 115200));
        double[] found =
        [
            slow.Level.Rise.Total, slow.Stale.Rise.Total, fast.Level.Rise.Total, fast.Stale.Rise.Total,
            slow.KeepAlive.Rise.Total, fast.KeepAlive.Rise.Total, slow.MaximumRatePascalsPerSecond * 0.065,
        ];

        Assert.Equal(rate, slow.MaximumRatePascalsPerSecond / Benches.Bar, 0.005 * rate);
        for (int i = 0; i < bars.Length; i++)
            Assert.True(Math.Abs(found[i] / Benches.Bar - bars[i]) <= 0.0006 + (0.006 * bars[i]), $"column {i}: {found[i] / Benches.Bar} for {bars[i]}");
    }

    [Theory]
    [InlineData(9600, 50, 0.0056, 0.0025)]
    [InlineData(115200, 50, 0.0073, 0.0027)]
    [InlineData(9600, 1000, 0.111, 0.051)]
    [InlineData(115200, 1000, 0.146, 0.053)]
    public void The_largest_restrictor_for_half_a_bar(double baud, double millilitres, double stale, double keepAlive)
    {
        ConductanceAllowance allowance = OvershootBudget.LargestConductance(Benches.Table(0.005, millilitres, baud), 0.5 * Benches.Bar);

        Assert.Equal(stale, allowance.Stale / Benches.ConductanceUnit, 0.01 * stale);
        Assert.Equal(keepAlive, allowance.KeepAlive / Benches.ConductanceUnit, 0.02 * keepAlive);
        Assert.Equal(allowance.KeepAlive, allowance.Smallest);
    }

    [Fact]
    public void The_largest_restrictor_uses_the_margin_up()
    {
        BudgetInputs inputs = Benches.Worked();
        double margin = 0.6 * Benches.Bar;
        ConductanceAllowance allowance = OvershootBudget.LargestConductance(inputs, margin);

        OvershootReport report = OvershootBudget.Evaluate(inputs with { FillConductance = allowance.Stale });
        Assert.Equal(margin, report.Stale.Rise.Total, 0.001);
    }

    [Theory]
    [InlineData(1, 0.157)]
    [InlineData(5, 0.727)]
    public void Trapped_gas_adds_to_the_rise(double millilitres, double bar)
    {
        BudgetInputs inputs = Benches.Table(0.005, 50, 9600) with
        {
            Limits = Benches.Limits(Benches.Gauge(2)),
            TrappedVolume = millilitres * 1e-6,
        };
        Assert.Equal(bar, OvershootBudget.Evaluate(inputs).TrappedRisePascals / Benches.Bar, 0.0006);
    }

    // F of the requirements, C.3.
    [Theory]
    [InlineData("air", 1, 0)]
    [InlineData("nitrogen", 1.017, 0.0006)]
    [InlineData("argon", 1.075, 0.0006)]
    [InlineData("carbon dioxide", 0.73, 0.006)]
    [InlineData("helium", 3.40, 0.006)]
    public void Gases_fill_at_their_own_rate(string gas, double factor, double tolerance) =>
        Assert.Equal(factor, FillGas.Find(gas, out _)!.RateFactor, tolerance);

    // C.3: bore in mm to conductance in dm³/(s·bar), discharge coefficient 0.8.
    [Theory]
    [InlineData(0.0013, 0.1)]
    [InlineData(0.0050, 0.2)]
    [InlineData(0.0113, 0.3)]
    [InlineData(0.031, 0.5)]
    [InlineData(0.125, 1)]
    [InlineData(0.50, 2)]
    public void A_conductance_is_shown_as_the_bore_of_an_orifice(double conductance, double millimetres) =>
        Assert.Equal(millimetres, RestrictorFlow.OrificeBore(conductance * Benches.ConductanceUnit) * 1000, 0.02 * millimetres);
}
