using System.Text.Json;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Tests.EndToEnd;

[Collection(RealPrograms.Name)]
public sealed class DemoTests : IDisposable
{
    private readonly Workshop _workshop = new();

    public void Dispose() => _workshop.Dispose();

    [Certificates.SchemaFact]
    public async Task The_digital_certificate_of_a_demo_follows_the_published_schema()
    {
        Finished demo = await ChildProgram.RunAsync(_workshop.Folder, "demo", "--procedure", "five-point", "--out", _workshop.In("certified"));
        Assert.Equal(0, demo.ExitCode);

        using FileStream document = File.OpenRead(Path.Combine(_workshop.In("certified"), "certificate.xml"));
        Assert.Empty(Certificates.PublishedSchemas.Faults(document));
    }

    [Fact]
    public async Task The_demo_passes_a_transmitter_and_leaves_its_files()
    {
        Finished demo = await ChildProgram.RunAsync(_workshop.Folder, "demo", "--out", "out");

        Assert.Equal(0, demo.ExitCode);
        Assert.Contains("PASSED: all 22 points", demo.Out, StringComparison.Ordinal);
        Assert.Contains("SIMULATED", demo.Out, StringComparison.Ordinal);
        // Once in the table of results, and once with its uncertainty.
        Assert.Equal(2 * 22, demo.Out.Split('\n').Count(line => line.EndsWith(" pass", StringComparison.Ordinal)));
        Assert.All(["run.json", "readings.csv", "certificate.pdf", "certificate.xml", "journal.jsonl", "records.sqlite"], name => Assert.True(new FileInfo(Out(name)).Length > 0));

        using FileStream json = File.OpenRead(Out("run.json"));
        RunRecord record = RunJson.Read(json);
        Assert.True(record.HighestPascals < record.CeilingPascals, $"{record.HighestPascals} Pa against {record.CeilingPascals} Pa");
        using RunStore store = RunStore.Open(Out("records.sqlite"));
        RunRecord kept = store.Get(record.Id)!;
        Assert.Equal((RunOutcome.Completed, true, record.HighestPascals), (kept.Outcome, kept.VentConfirmed, kept.HighestPascals));
        Assert.Equal(
            record.Points.SelectMany(point => point.Samples).Select(sample => sample.Indication.Raw),
            kept.Points.SelectMany(point => point.Samples).Select(sample => sample.Indication.Raw));
    }

    [Fact]
    public async Task The_demo_s_journal_is_intact_ends_with_the_record_s_head_and_replays_to_the_same_decisions()
    {
        Finished demo = await ChildProgram.RunAsync(_workshop.Folder, Quick("out", 1));
        Assert.Equal(0, demo.ExitCode);

        using FileStream file = File.OpenRead(Out("journal.jsonl"));
        var reader = new JournalReader(file, JournalHead.Genesis);
        List<JournalEntry> entries = [.. reader.ReadAll()];
        Assert.Null(reader.Fault);
        ReplayResult replay = JournalReplay.Run(entries);
        Assert.True(replay.IsComplete, $"{replay}");
        Assert.Equal(entries.Count(entry => entry.Kind == JournalKind.Tick), replay.Replayed);
        Assert.True(((StopPayload)entries[^1].ReadPayload()).VentConfirmed);
        using FileStream json = File.OpenRead(Out("run.json"));
        Assert.Equal(reader.Head.Hash, RunJson.Read(json).JournalHead);
    }

    [Fact]
    public async Task A_seed_gives_the_same_readings_every_time_and_another_seed_gives_others()
    {
        await ChildProgram.RunAsync(_workshop.Folder, Quick("first", 7));
        await ChildProgram.RunAsync(_workshop.Folder, Quick("again", 7));
        await ChildProgram.RunAsync(_workshop.Folder, Quick("other", 8));

        byte[] first = File.ReadAllBytes(_workshop.In("first/readings.csv"));
        Assert.Equal(first, File.ReadAllBytes(_workshop.In("again/readings.csv")));
        Assert.NotEqual(References("first"), References("other"));
    }

    [Fact]
    public async Task Json_is_one_document_on_standard_output_and_equal_to_the_file()
    {
        Finished demo = await ChildProgram.RunAsync(_workshop.Folder, [.. Quick("out", 1), "--json"]);

        Assert.Equal(0, demo.ExitCode);
        using JsonDocument told = JsonDocument.Parse(demo.Out);
        Assert.Equal("passed", told.RootElement.GetProperty("result").GetProperty("verdict").GetString());
        Assert.Equal(File.ReadAllText(Out("run.json")).Trim(), demo.Out.Trim());
    }

    [Fact]
    public async Task A_device_outside_its_tolerance_ends_with_1()
    {
        _workshop.Change("devices/transmitter-16bar.toml", "tolerance = \"0.5 % of span\"", "tolerance = \"0.05 % of span\"");
        Finished demo = await ChildProgram.RunAsync(_workshop.Folder, Quick("out", 1));

        Assert.Equal(1, demo.ExitCode);
        Assert.Contains("FAILED", demo.Out, StringComparison.Ordinal);
    }

    private string Out(string name) => _workshop.In($"out/{name}");

    private string[] Quick(string folder, int seed) =>
        ["demo", "--out", folder, "--procedure", "quick", "--config", _workshop.Config, "--seed", $"{seed}"];

    private List<string> References(string folder) =>
        [.. File.ReadLines(_workshop.In($"{folder}/readings.csv")).Skip(1).Select(row => row.Split(',')[10])];
}
