using Barostep.Configuration;
using Barostep.Evaluation.Uncertainty;

namespace Barostep.Tests.Evaluation.Uncertainty;

public sealed class BudgetFileTests
{
    private const string Sound = """
        quantity = "y"
        formula = "a*b"
        [inputs.a]
        value = 2
        standard = 0.1
        [inputs.b]
        readings = [3.0, 3.1, 2.9]
        """;

    [Fact]
    public void Every_way_to_state_an_input_is_understood()
    {
        BudgetDefinition budget = Read("""
            quantity = "y"
            unit = "Pa"
            [inputs.standard]
            value = 1
            unit = "Pa"
            standard = 0.3
            degrees_of_freedom = 7
            sensitivity = 2
            [inputs.expanded]
            value = 1
            expanded = 0.4
            coverage_factor = 2
            distribution = "t"
            degrees_of_freedom = 9
            sensitivity = -1
            [inputs.limits]
            value = 0
            half_width = 0.6
            distribution = "triangular"
            sensitivity = 1
            [inputs.readings]
            readings = [1, 2, 3, 4]
            sensitivity = 1
            [inputs.constant]
            value = 5
            exact = true
            sensitivity = 1
            """);

        Assert.Equal(2 - 1 + 2.5 + 5, budget.Model.Value, 1e-12);
        Assert.Equal([0.3, 0.2, 0.6 / Math.Sqrt(6), Math.Sqrt(5.0 / 3 / 4), 0], budget.Model.Inputs.Select(input => input.StandardUncertainty));
        Assert.Equal([7, 9, double.PositiveInfinity, 3, double.PositiveInfinity], budget.Model.Inputs.Select(input => input.DegreesOfFreedom));
        Assert.Equal(
            [Distribution.Normal, Distribution.StudentT, Distribution.Triangular, Distribution.StudentT, Distribution.Normal],
            budget.Model.Inputs.Select(input => input.Distribution));
        Assert.Equal("Pa", budget.Model.Inputs[0].Unit);
        Assert.Equal(0.95, budget.CoverageProbability);
    }

    [Theory]
    [InlineData("gum-h1-end-gauge.toml", 50_000_838, 31.66, 92.48)]
    [InlineData("jcgm101-mass.toml", 1.234, 0.05385, 0.1055)]
    [InlineData("pressure-sensor.toml", 9.99608, 0.003125, 0.00624986)]
    public void The_examples_give_their_published_results(string file, double value, double combined, double expanded)
    {
        BudgetDefinition budget = Read(File.ReadAllText(EvaluationPageTests.PathInDocs("examples", file)));
        UncertaintyBudget made = budget.Model.Budget(budget.SecondOrder);

        Assert.Equal(1, budget.Model.Value / value, 1e-6);
        Assert.Equal(1, made.Combined / combined, 2e-4);
        Assert.Equal(1, budget.Expand(made).Value / expanded, 5e-4);
    }

    [Theory]
    [InlineData("formula = \"a*b\"", "formula = \"a*bc\"", "budget.toml:2:14: bc is no input")]
    [InlineData("formula = \"a*b\"", "formula = \"a\"", "budget.toml:6:1: input b does not occur in the formula")]
    [InlineData("formula = \"a*b\"", "formula = \"a*b/0\"", "budget.toml:2:12: the formula has no value")]
    [InlineData("standard = 0.1", "standard = -0.1", "budget.toml:5:12: inputs.a.standard = -0.1")]
    [InlineData("standard = 0.1", "standard = \"0.1\"", "budget.toml:5:12: inputs.a.standard = \"0.1\"")]
    [InlineData("standard = 0.1", "standard = inf", "budget.toml:5:12: inputs.a.standard = inf")]
    [InlineData("standard = 0.1", "", "budget.toml:3:1: [inputs.a] does not say how uncertain it is")]
    [InlineData("standard = 0.1", "standard = 0.1\nexact = true", "budget.toml:3:1: [inputs.a] has standard and exact")]
    [InlineData("standard = 0.1", "half_width = 0.1", "budget.toml:3:1: inputs.a.distribution is missing")]
    [InlineData("standard = 0.1", "half_width = 0.1\ndistribution = \"normal\"", "budget.toml:6:16: inputs.a.distribution = \"normal\" beside half_width")]
    [InlineData("standard = 0.1", "half_width = 0.1\ndistribution = \"rectangle\"", "did you mean distribution = \"rectangular\"")]
    [InlineData("standard = 0.1", "standard = 0.1\nsensitivity = 2", "budget.toml:6:15: inputs.a.sensitivity beside a formula")]
    [InlineData("standard = 0.1", "standard = 0.1\ndistribution = \"t\"", "budget.toml:6:16: distribution = \"t\" without degrees_of_freedom")]
    [InlineData("standard = 0.1", "expanded = 0.1", "inputs.a.coverage_factor is missing")]
    [InlineData("standard = 0.1", "stndard = 0.1", "did you mean standard")]
    [InlineData("readings = [3.0, 3.1, 2.9]", "readings = [3.0]", "it is a list of 2 numbers or more")]
    [InlineData("readings = [3.0, 3.1, 2.9]", "readings = [3.0, \"3.1\"]", "budget.toml:7:18: inputs.b.readings.1 = \"3.1\"")]
    [InlineData("readings = [3.0, 3.1, 2.9]", "readings = [3.0, 3.1]\nvalue = 3", "budget.toml:8:9: inputs.b.value beside readings")]
    [InlineData("quantity = \"y\"", "", "quantity is missing")]
    [InlineData("quantity = \"y\"", "quantity = \"y\"\ncoverage_probability = 95", "coverage_probability = 95; it is a number from 0.5 to 0.9999")]
    public void What_is_wrong_is_told_at_its_place(string was, string now, string message)
    {
        LoadedBudget loaded = BudgetFile.Read("budget.toml", Sound.Replace(was, now, StringComparison.Ordinal));

        Assert.Null(loaded.Budget);
        Assert.Contains(message, string.Join('\n', loaded.Errors), StringComparison.Ordinal);
        Assert.All(loaded.Errors, error => Assert.True(error.Rule.Length > 0 && error.Instead.Length > 0));
    }

    [Fact]
    public void Correlations_are_checked_for_their_names_and_for_being_possible()
    {
        string correlated = Sound + "\n[correlations.one]\nbetween = [\"a\", \"c\"]\nr = 2\n";
        string[] errors = [.. BudgetFile.Read("budget.toml", correlated).Errors.Select(error => error.ToString())];

        Assert.Contains(errors, error => error.StartsWith("budget.toml:9:17: \"c\" is no input", StringComparison.Ordinal));
        Assert.Contains(errors, error => error.StartsWith("budget.toml:10:5: correlations.one.r = 2", StringComparison.Ordinal));
        Assert.Equal(1, Read(Sound + "\n[correlations.one]\nbetween = [\"a\", \"b\"]\nr = 1\n").Model.Correlations[0].Coefficient);
    }

    [Fact]
    public void A_whole_file_of_faults_is_told_at_once()
    {
        IReadOnlyList<ConfigurationError> errors = BudgetFile.Read("budget.toml", Sound
            .Replace("a*b", "a*", StringComparison.Ordinal)
            .Replace("standard = 0.1", "standard = -1\ncolour = 3", StringComparison.Ordinal)).Errors;

        Assert.Equal([2, 5, 6], errors.Select(error => error.Where.Line));
    }

    internal static BudgetDefinition Read(string text)
    {
        LoadedBudget loaded = BudgetFile.Read("budget.toml", text);
        Assert.Empty(loaded.Errors);
        return loaded.Budget!;
    }
}
