using System.Text.Json;

namespace Barostep.Tests.EndToEnd;

[Collection(RealPrograms.Name)]
public sealed class LimitsCommandTests : IDisposable
{
    private readonly Workshop _workshop = new();

    public void Dispose() => _workshop.Dispose();

    [Fact]
    [Trait("SR", "01, 02")]
    public async Task A_permitted_bench_is_shown_with_every_limit_at_its_place()
    {
        Finished limits = await Run("limits", "--bench", "demo", "--device", "transmitter-16bar");

        Assert.Equal(0, limits.ExitCode);
        Assert.StartsWith("Bench demo ", limits.Out, StringComparison.Ordinal);
        Assert.Contains("PERMITTED, only with somebody present", limits.Out, StringComparison.Ordinal);
        Assert.Contains("[benches/demo.toml:12:11]  <- ceiling in force", limits.Out, StringComparison.Ordinal);
        Assert.Contains("rating of device transmitter-16bar  [devices/transmitter-16bar.toml:15:10]", limits.Out, StringComparison.Ordinal);
    }

    [Fact]
    [Trait("SR", "02")]
    public async Task In_json_the_contributions_add_up_to_the_worst()
    {
        Finished limits = await Run("limits", "--bench", "demo", "--device", "transmitter-16bar", "--json");

        using JsonDocument document = JsonDocument.Parse(limits.Out);
        JsonElement root = document.RootElement;
        Assert.True(root.GetProperty("permitted").GetBoolean());
        Assert.All(root.GetProperty("paths").EnumerateArray(), path =>
        {
            double rise = path.GetProperty("rise").EnumerateArray().Sum(term => term.GetProperty("pa").GetDouble());
            Assert.Equal(path.GetProperty("worst_pa").GetDouble(), root.GetProperty("ceiling_pa").GetDouble() + rise, 1e-3);
        });
    }

    [Theory]
    [InlineData("limits --bench demo --device transmitter-16bar")]
    [InlineData("demo --procedure quick")]
    [InlineData("sweep --bench demo --device transmitter-16bar --procedure quick")]
    [InlineData("serve")]
    [Trait("SR", "02")]
    public async Task A_bench_that_could_pass_a_rating_is_refused_before_any_port_is_opened(string arguments)
    {
        _workshop.Change("benches/demo.toml", "conductance = \"0.0055 dm3/(s.bar)\"", "conductance = \"0.05 dm3/(s.bar)\"");

        Finished refused = await Run(arguments.Split(' '));

        Assert.Equal(2, refused.ExitCode);
        Assert.Contains("(d) RV-1", refused.Out + refused.Error, StringComparison.Ordinal);
        Assert.False(Directory.Exists(_workshop.In("state")));
    }

    [Fact]
    [Trait("SR", "47")]
    public async Task No_help_calls_a_stop_of_this_program_an_emergency_stop()
    {
        foreach (string command in new[] { "", "demo", "sweep", "serve", "check", "limits", "journal" })
        {
            Finished help = await ChildProgram.RunAsync(_workshop.Folder, [.. command.Split(' ', StringSplitOptions.RemoveEmptyEntries), "--help"]);
            Assert.Equal(0, help.ExitCode);
            Assert.DoesNotContain("emergency", help.Out, StringComparison.OrdinalIgnoreCase);
        }
    }

    private Task<Finished> Run(params string[] arguments) =>
        ChildProgram.RunAsync(_workshop.Folder, [.. arguments, "--config", _workshop.Config]);
}
