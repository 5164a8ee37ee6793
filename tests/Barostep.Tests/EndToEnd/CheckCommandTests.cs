using System.Text.Json;
using Barostep.Tests.Configuration;

namespace Barostep.Tests.EndToEnd;

[Collection(RealPrograms.Name)]
public sealed class CheckCommandTests : IDisposable
{
    private readonly Workshop _workshop = new();
    private readonly List<string> _planted = [];

    public void Dispose() => _workshop.Dispose();

    [Fact]
    public async Task The_configuration_that_came_with_the_program_is_clean()
    {
        Finished check = await ChildProgram.RunAsync(_workshop.Folder, "check");
        Assert.Equal((0, string.Empty), (check.ExitCode, check.Out));
        int benches = Directory.GetFiles(Path.Combine(ShippedConfiguration.Folder, "benches"), "*.toml").Length;
        Assert.Contains($"no errors in {benches} benches", check.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Eight_planted_errors_are_listed_at_once_each_at_its_place()
    {
        PlantEight();
        Finished check = await ChildProgram.RunAsync(_workshop.Folder, "check", "--config", _workshop.Config);

        Assert.Equal(2, check.ExitCode);
        string[] lines = check.Out.TrimEnd('\n').Split('\n');
        Assert.Equal(_planted.Order(StringComparer.Ordinal), lines.Select(PlaceOf).Order(StringComparer.Ordinal));
        Assert.Contains("8 errors", check.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Json_tells_the_same_places()
    {
        PlantEight();
        Finished check = await ChildProgram.RunAsync(_workshop.Folder, "check", "--config", _workshop.Config, "--json");

        Assert.Equal(2, check.ExitCode);
        using JsonDocument told = JsonDocument.Parse(check.Out);
        Assert.Equal(
            _planted.Order(StringComparer.Ordinal),
            told.RootElement.EnumerateArray()
                .Select(error => $"{error.GetProperty("file")}:{error.GetProperty("line")}:{error.GetProperty("column")}")
                .Order(StringComparer.Ordinal));
        Assert.All(told.RootElement.EnumerateArray(), error => Assert.NotEmpty(error.GetProperty("instead").GetString()!));
    }

    [Fact]
    public async Task A_clean_configuration_is_an_empty_list_in_json()
    {
        Finished check = await ChildProgram.RunAsync(_workshop.Folder, "check", "--json");
        using JsonDocument told = JsonDocument.Parse(check.Out);
        Assert.Equal((0, 0), (check.ExitCode, told.RootElement.GetArrayLength()));
    }

    private void PlantEight()
    {
        Plant("barostep.toml", "log_level = \"information\"", "log_level = ", "\"informaton\"");
        Plant("benches/demo.toml", "ceiling = \"17 bar gauge\"", "ceiling = ", "17");
        Plant("benches/gauge.toml", "period = \"50 ms\"", "period = ", "\"80 ms\"");
        Plant("devices/gauge-10bar.toml", "rating = \"25 bar gauge\"", "rating = ", "\"9 bar gauge\"");
        Plant("devices/transmitter-16bar.toml", "kind = \"current\"", "kind = ", "\"curent\"");
        Plant("instruments/text-multimeter.toml", "role = \"multimeter\"", "role = \"multimeter\"\n", "colour = \"blue\"");
        Plant("procedures/eleven-point.toml", "descending = true", "descending = ", "\"yes\"");
        Plant("procedures/five-point.toml", "samples = 10", "samples = ", "1");
    }

    /// <summary>Writes an error into a file and notes its place.</summary>
    private void Plant(string file, string correct, string before, string wrong)
    {
        _workshop.Change(file, correct, before + wrong);
        string text = File.ReadAllText(Path.Combine(_workshop.Config, file));
        int at = text.IndexOf(before + wrong, StringComparison.Ordinal) + before.Length;
        int line = text.Take(at).Count(character => character == '\n') + 1;
        _planted.Add($"{file}:{line}:{at - text.LastIndexOf('\n', at - 1)}");
    }

    private static string PlaceOf(string line) => string.Join(':', line.Split(':')[..3]);
}
