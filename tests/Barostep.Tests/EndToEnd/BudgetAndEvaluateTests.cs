using System.Text.Json;
using Barostep.Tests.Evaluation;

namespace Barostep.Tests.EndToEnd;

[Collection(RealPrograms.Name)]
public sealed class BudgetAndEvaluateTests : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("barostep-budget-");

    public void Dispose() => _folder.Delete(recursive: true);

    [Fact]
    public async Task A_budget_file_becomes_a_table()
    {
        Finished budget = await RunAsync("budget", Example("gum-h1-end-gauge.toml"));

        Assert.Equal((0, string.Empty), (budget.ExitCode, budget.Error));
        Assert.Contains("l = (50000838 ± 92) nm", budget.Out, StringComparison.Ordinal);
    }

    [Fact]
    public async Task One_seed_gives_one_document_and_says_whether_the_budget_holds()
    {
        string[] arguments = ["budget", Example("jcgm101-mass.toml"), "--monte-carlo", "--seed", "7", "--json"];
        Finished first = await RunAsync(arguments);
        Finished second = await RunAsync(arguments);

        using JsonDocument told = JsonDocument.Parse(first.Out);
        Assert.Equal(first.Out, second.Out);
        Assert.False(told.RootElement.GetProperty("monteCarlo").GetProperty("validated").GetBoolean());
        Assert.Equal(0.0539, told.RootElement.GetProperty("combinedStandardUncertainty").GetDouble(), 5e-5);
    }

    [Fact]
    public async Task A_faulty_budget_is_refused_with_its_places()
    {
        string path = Path.Combine(_folder.FullName, "faulty.toml");
        await File.WriteAllTextAsync(path, "quantity = \"y\"\nformula = \"a + b\"\n[inputs.a]\nvalue = 1\nstandard = -1\n");
        Finished budget = await RunAsync("budget", path);

        Assert.Equal((2, string.Empty), (budget.ExitCode, budget.Out));
        Assert.Contains($"{path}:2:16: b is no input", budget.Error, StringComparison.Ordinal);
        Assert.Contains($"{path}:5:12: inputs.a.standard = -1", budget.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_file_that_is_not_there_is_refused_in_one_line()
    {
        Finished budget = await RunAsync("budget", "nowhere.toml");

        Assert.Equal((2, "there is no file nowhere.toml\n"), (budget.ExitCode, budget.Error));
    }

    [Fact]
    public async Task Readings_taken_elsewhere_are_judged_as_a_run_is()
    {
        Finished passed = await RunAsync("evaluate", "--readings", Example("readings-transmitter.csv"), "--device", "transmitter-16bar", "--procedure", "five-point");
        Assert.Equal(0, passed.ExitCode);
        Assert.Contains("PASSED: all 10 points within ±0.500 % of span", passed.Out, StringComparison.Ordinal);
        Assert.Contains("adjustment  inside ±0.500 % of span as it is", passed.Out, StringComparison.Ordinal);

        string path = Path.Combine(_folder.FullName, "shifted.csv");
        await File.WriteAllTextAsync(path, (await File.ReadAllTextAsync(Example("readings-transmitter.csv"))).Replace(",12.0", ",12.2", StringComparison.Ordinal));
        Finished failed = await RunAsync("evaluate", "--readings", path, "--device", "transmitter-16bar", "--procedure", "five-point", "--json");
        Assert.Equal(1, failed.ExitCode);
        using JsonDocument told = JsonDocument.Parse(failed.Out);
        Assert.Equal("failed", told.RootElement.GetProperty("result").GetProperty("verdict").GetString());
    }

    [Fact]
    public async Task Readings_taken_with_a_bench_s_standards_are_corrected_and_get_their_uncertainty()
    {
        Finished plain = await RunAsync("evaluate", "--readings", Example("readings-transmitter.csv"), "--device", "transmitter-16bar", "--procedure", "five-point");
        Finished known = await RunAsync("evaluate", "--readings", Example("readings-transmitter.csv"), "--device", "transmitter-16bar", "--procedure", "five-point", "--bench", "demo");

        Assert.DoesNotContain("accept A", plain.Out, StringComparison.Ordinal);
        Assert.Contains("accept A", known.Out, StringComparison.Ordinal);
        Assert.Contains("corrected by 0 bar at the lower to +0.00009 bar at the upper range end, by certificate K-2026-0318", known.Out, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Faulty_readings_are_refused_with_their_places()
    {
        string path = Path.Combine(_folder.FullName, "faulty.csv");
        await File.WriteAllTextAsync(path, "point [%],series,reference [bar gauge],indication [mA]\n33,up,4,8\n50,up,4\n");
        Finished evaluated = await RunAsync("evaluate", "--readings", path, "--device", "transmitter-16bar", "--procedure", "five-point");

        Assert.Equal((2, string.Empty), (evaluated.ExitCode, evaluated.Out));
        Assert.Contains($"{path}:2:1: point 33", evaluated.Error, StringComparison.Ordinal);
        Assert.Contains($"{path}:3:1: 3 fields", evaluated.Error, StringComparison.Ordinal);
    }

    private Task<Finished> RunAsync(params string[] arguments) => ChildProgram.RunAsync(_folder.FullName, arguments);

    private static string Example(string file) => EvaluationPageTests.PathInDocs("examples", file);
}
