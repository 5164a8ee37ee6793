using System.Globalization;
using System.Text;
using System.Text.Json;
using Barostep.Evaluation.Uncertainty;

namespace Barostep.Tests.Evaluation.Uncertainty;

public sealed class BudgetTableTests
{
    [Theory]
    [InlineData("gum-h1-end-gauge.toml")]
    [InlineData("jcgm101-mass.toml")]
    [InlineData("pressure-sensor.toml")]
    public void Anyone_can_add_the_table_up_again(string file)
    {
        BudgetDefinition definition = Example(file);
        UncertaintyBudget budget = definition.Model.Budget(definition.Model.Correlations.Count == 0);
        string[] lines = Written(definition, budget, null).Split('\n');
        int[] rules = [.. Enumerable.Range(0, lines.Length).Where(i => lines[i].StartsWith("---", StringComparison.Ordinal))];

        double sum = lines[(rules[0] + 1)..rules[1]].Sum(Square);
        double printed = Square(lines[rules[1] + 1]);

        // Five digits each.
        Assert.Equal(1, sum / printed, 1e-4);
        Assert.Equal(budget.Combined, Math.Sqrt(printed), 1e-4 * budget.Combined);
    }

    [Fact]
    public void Value_and_uncertainty_are_stated_together()
    {
        BudgetDefinition definition = Example("pressure-sensor.toml");
        string table = Written(definition, definition.Model.Budget(), null);

        Assert.Contains("p = 9.9961 ± 0.0062", table, StringComparison.Ordinal);
        Assert.Contains("k           2.000 for 95.45 %", table, StringComparison.Ordinal);
        Assert.DoesNotContain("-0 ", table, StringComparison.Ordinal);
    }

    [Fact]
    public void A_budget_that_Monte_Carlo_contradicts_says_so()
    {
        BudgetDefinition definition = Example("jcgm101-mass.toml");
        MonteCarloResult found = MonteCarlo.Propagate(definition.Model, new MonteCarloOptions());

        Assert.Contains("NOT VALIDATED", Written(definition, definition.Model.Budget(), found), StringComparison.Ordinal);
        Assert.Contains("\nVALIDATED", Written(definition, definition.Model.Budget(secondOrder: true), found), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(1.0, 0.0, "1 ± 0")]
    [InlineData(6.02214076e23, 1.2e16, "6.02214E+23 ± 1.2E+16")]
    [InlineData(1e-30, 1.234e-25, "1E-30 ± 1.2E-25")]
    public void Figures_beyond_any_decimal_are_still_stated(double value, double expanded, string text) =>
        Assert.Equal(text, BudgetTable.Stated(value, expanded));

    [Fact]
    public void The_document_has_the_figures_of_the_table()
    {
        BudgetDefinition definition = Example("gum-h1-end-gauge.toml");
        using MemoryStream stream = new();
        BudgetJson.Write(stream, definition, definition.Model.Budget(), MonteCarlo.Propagate(definition.Model, new MonteCarloOptions(0.99, MostTrials: 50_000)));
        using JsonDocument document = JsonDocument.Parse(Encoding.UTF8.GetString(stream.ToArray()));
        JsonElement root = document.RootElement;

        Assert.Equal(31.66, root.GetProperty("combinedStandardUncertainty").GetDouble(), 0.01);
        Assert.Equal(2.92, root.GetProperty("coverageFactor").GetDouble(), 0.005);
        Assert.Equal(8, root.GetProperty("inputs").GetArrayLength());
        Assert.Equal(JsonValueKind.Null, root.GetProperty("inputs")[5].GetProperty("degreesOfFreedom").ValueKind);
        Assert.Equal(2, root.GetProperty("monteCarlo").GetProperty("shortest").GetArrayLength());
    }

    private static BudgetDefinition Example(string file) => BudgetFileTests.Read(File.ReadAllText(EvaluationPageTests.PathInDocs("examples", file)));

    private static string Written(BudgetDefinition definition, UncertaintyBudget budget, MonteCarloResult? found)
    {
        using StringWriter writer = new(CultureInfo.InvariantCulture) { NewLine = "\n" };
        BudgetTable.Write(writer, definition, budget, found);
        return writer.ToString();
    }

    private static double Square(string line) =>
        double.Parse(line.Split(' ', StringSplitOptions.RemoveEmptyEntries)[^2], CultureInfo.InvariantCulture);
}
