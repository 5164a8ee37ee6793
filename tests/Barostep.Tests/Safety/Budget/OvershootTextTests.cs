using Barostep.Safety;

namespace Barostep.Tests.Safety.Budget;

public class OvershootTextTests
{
    [Fact]
    public void A_permitted_bench_is_told_with_every_limit_and_its_source()
    {
        string text = Text(Benches.Worked(), PressureUnit.Bar, PressureReference.Gauge);
        Assert.All(
            [
                "PERMITTED: every clause", "ceiling  6.3 bar gauge", "[heating-workshop.toml:14]  <- ceiling in force", "range of the reference  [data sheet]",
                "9 bar gauge", "pump-station transmitter", "[device file]", "one exchange with the reference 37.25 ms", "292 ms", "642.3 ms",
                "is at most rating of pump-station transmitter (9 bar gauge)", "gauge  worst", "relief valve RV-1: 7.5 bar gauge ± 3 %", "last test 2026-03-02",
                "an orifice of 0.20 mm", "J of compressed gas",
            ],
            part => Assert.Contains(part, text, StringComparison.Ordinal));
        Assert.DoesNotContain("FAILS", text, StringComparison.Ordinal);
    }

    [Fact]
    public void A_refused_bench_is_told_what_fails_and_what_would_help()
    {
        string text = Text(Benches.Worked(conductance: 0.05) with { KeepAlive = null, Relief = null }, PressureUnit.Bar, PressureReference.Gauge);
        Assert.All(
            [
                "REFUSED: clause a, b, c, d", "pump-station transmitter", "worst, as far as the supply reaches", "would help: a restrictor in the fill of at most",
                "a keep-alive relay that isolates and dumps by itself", "relief valve: none", "no relief valve is fitted, and the supply can exceed a rating",
            ],
            part => Assert.Contains(part, text, StringComparison.Ordinal));
    }

    [Fact]
    public void Pressures_are_told_in_the_unit_and_reference_of_the_bench()
    {
        string text = Text(Benches.Worked(), PressureUnit.Kilopascal, PressureReference.Absolute);
        Assert.Contains("731.3 kPa absolute", text, StringComparison.Ordinal);
        Assert.DoesNotContain("gauge  ", text, StringComparison.Ordinal);
        Assert.DoesNotContain(" bar gauge", text, StringComparison.Ordinal);
    }

    private static string Text(BudgetInputs inputs, PressureUnit unit, PressureReference reference)
    {
        StringWriter writer = new();
        OvershootBudget.Evaluate(inputs).Write(writer, unit, reference);
        return writer.ToString();
    }
}
