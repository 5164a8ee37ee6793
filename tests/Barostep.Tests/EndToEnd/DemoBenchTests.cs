using System.Text.Json;

namespace Barostep.Tests.EndToEnd;

/// <summary>Every bench that is demonstrated, from start to finish on virtual time.</summary>
[Collection(RealPrograms.Name)]
public sealed class DemoBenchTests : IDisposable
{
    private readonly Workshop _workshop = new();

    public void Dispose() => _workshop.Dispose();

    [Theory]
    [InlineData("pump", "PT-4711")]
    [InlineData("gauge", "PI-2203")]
    [InlineData("hand", "PI-4715")]
    public async Task A_demo_bench_runs_from_start_to_finish(string bench, string tag)
    {
        string folder = _workshop.In(bench);
        Finished finished = await ChildProgram.RunAsync(_workshop.Folder, "demo", "--bench", bench, "--out", folder, "--json");

        Assert.True(finished.ExitCode == 0, finished.Error);
        using JsonDocument run = JsonDocument.Parse(await File.ReadAllTextAsync(Path.Combine(folder, "run.json")));
        Assert.Contains(tag, run.RootElement.ToString(), StringComparison.Ordinal);
        Finished verified = await ChildProgram.RunAsync(_workshop.Folder, "journal", "replay", Path.Combine(folder, "journal.jsonl"));
        Assert.True(verified.ExitCode == 0, verified.Out + verified.Error);
    }

    [Fact]
    public async Task The_manifold_leaves_a_record_and_a_certificate_of_each_device()
    {
        string folder = _workshop.In("manifold");
        Finished finished = await ChildProgram.RunAsync(_workshop.Folder, "demo", "--bench", "manifold", "--out", folder);

        Assert.True(finished.ExitCode == 0, finished.Error);
        Assert.Contains("ceiling 6.6 bar gauge: ceiling set by the user (benches/manifold.toml:", finished.Error, StringComparison.Ordinal);
        foreach ((string device, string tag) in new[] { (".", "PI-2207"), ("transmitter-6bar", "PT-4712"), ("switch-3bar", "PS-1103") })
        {
            string of = Path.Combine(folder, device);
            Assert.Contains(tag, await File.ReadAllTextAsync(Path.Combine(of, "run.json")), StringComparison.Ordinal);
            Assert.True(new FileInfo(Path.Combine(of, "certificate.pdf")).Length > 10_000);
            Assert.Contains($"tag {tag}", finished.Out, StringComparison.Ordinal);
        }

        Assert.Contains("deadband", finished.Out, StringComparison.Ordinal);
        Finished verified = await ChildProgram.RunAsync(_workshop.Folder, "journal", "replay", Path.Combine(folder, "journal.jsonl"));
        Assert.True(verified.ExitCode == 0, verified.Out + verified.Error);
        Finished kept = await ChildProgram.RunAsync(_workshop.Folder, "runs", "list", "--state", folder);
        Assert.Equal(3, kept.Out.Split('\n').Count(line => line.Contains("manifold", StringComparison.Ordinal)));
    }

    [Fact]
    public async Task A_demo_bench_that_is_not_there_is_refused_with_those_that_are()
    {
        Finished finished = await ChildProgram.RunAsync(_workshop.Folder, "demo", "--bench", "other");

        Assert.Equal(2, finished.ExitCode);
        Assert.Equal("there is no demo bench 'other'; there are: demo, gauge, pump, manifold, hand", finished.Error.Trim());
    }
}
