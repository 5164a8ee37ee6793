using System.Text;
using System.Text.Json;
using Barostep.Configuration;
using Barostep.Records;

namespace Barostep.Tests.Records;

/// <summary>The commands that look at records, as a person or a script runs them.</summary>
public sealed class RecordCommandTests : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("barostep-commands-");
    private readonly RunRecord _run;

    public RecordCommandTests()
    {
        _run = SampleRuns.Run(SampleRuns.Transmitter, SampleRuns.UpAndDown, (_, _, share) => 0.002 - (0.0035 * share)) with
        {
            Job = new JobUse(SampleRuns.Substation, JobStage.AsFound),
            Standards = [new StandardUse("reference", SampleRuns.Reference, null)],
            Simulated = false,
        };
        using RunStore store = RunStore.Open(PathOf("records.sqlite"));
        for (int year = 0; year < 4; year++)
            store.Save(_run with { Id = $"{year}198c0de-0000-7000-8000-000000000001", StartedUtc = _run.StartedUtc.AddYears(year) });
    }

    public void Dispose() => _folder.Delete(recursive: true);

    [Fact]
    public async Task Runs_are_listed_shown_and_exported_by_the_beginning_of_their_id()
    {
        (int code, string list, _) = await Run("runs", "list", "--device", "PT-204");
        Assert.Equal(0, code);
        string[] lines = list.TrimEnd().Split('\n');
        Assert.Equal(6, lines.Length);
        Assert.StartsWith("2029-03-29 00:59  3198c0de-0000  return-line-transmitter", lines[2], StringComparison.Ordinal);
        Assert.Contains("substation-4, as found", lines[2], StringComparison.Ordinal);

        (_, string shown, _) = await Run("runs", "show", "0198");
        Assert.Contains("certificate K-2026-0318 of 2026-01-15, due 2027-01-15", shown, StringComparison.Ordinal);

        (_, string csv, _) = await Run("runs", "export", "0198", "--format", "csv");
        Assert.Equal(Encoding.UTF8.GetString(ReadingsCsvTests.Written(_run)), csv);

        (code, string nothing, _) = await Run("runs", "export", "0198", "--format", "json", "--out", PathOf("run.json"));
        Assert.Equal((0, string.Empty), (code, nothing));
        Assert.Equal(RunJsonTests.Written(_run), await File.ReadAllBytesAsync(PathOf("run.json")));
    }

    [Theory]
    [InlineData("runs", "list")]
    [InlineData("runs", "show", "0198")]
    [InlineData("devices", "list")]
    [InlineData("devices", "history", "DH-0417")]
    public async Task With_json_standard_output_is_one_document(params string[] arguments)
    {
        (int code, string output, _) = await Run([.. arguments, "--json"]);

        Assert.Equal(0, code);
        using JsonDocument document = JsonDocument.Parse(output);
        Assert.NotEqual(JsonValueKind.Null, document.RootElement.ValueKind);
    }

    [Fact]
    public async Task The_history_of_a_device_tells_its_drift_its_due_date_and_an_interval()
    {
        (int code, _, string noted) = await Run("devices", "due", "DH-0417", "2030-03-29", "--by", "A. Holm", "--reason", "steady for years");
        Assert.Equal((0, "Workshop stock PT-16 DH-0417 is due on 2030-03-29\n"), (code, noted));

        (_, string history, _) = await Run("devices", "history", "DH-0417", "--most-months", "18");

        Assert.Contains("due 2030-03-29, set", history, StringComparison.Ordinal);
        Assert.Contains("proposed interval: 18 months, until 2030-09-29; at most 18 allowed", history, StringComparison.Ordinal);
        Assert.Contains("ILAC-G24", history, StringComparison.Ordinal);
        Assert.Contains("assumed: straight drift", history, StringComparison.Ordinal);
    }

    [Fact]
    public async Task An_adjustment_is_noted_and_the_job_shows_it()
    {
        Assert.Equal(0, (await Run("jobs", "adjust", "substation-4", "--by", "A. Holm", "--note", "zero from +0.2 % to 0 %")).Code);

        (_, string job, _) = await Run("jobs", "show", "substation-4");

        Assert.Contains("by A. Holm: zero from +0.2 % to 0 %", job, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_backup_is_written_and_checked()
    {
        Assert.Equal(0, (await Run("backup", PathOf("backup.sqlite"))).Code);

        (int code, string output, string told) = await ProgramUnderTest.Run("backup", "--check", PathOf("backup.sqlite"));

        Assert.Equal(0, code);
        Assert.Matches(@"(?m)^runs +4$", output);
        Assert.Contains("good. To restore it", told, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("there is no run whose id begins with 'f00'", "runs", "show", "f00")]
    [InlineData("several runs begin with ''", "runs", "show", "")]
    [InlineData("no run is of a device 'pt-204'", "devices", "history", "pt-204")]
    [InlineData("there is no page 0", "runs", "list", "--page", "0")]
    [InlineData("'31.1.2027' is no day; write year-month-day", "devices", "due", "DH-0417", "31.1.2027", "--by", "x", "--reason", "y")]
    [InlineData("no run was made for a job 'nobody'", "jobs", "adjust", "nobody", "--by", "x", "--note", "y")]
    public async Task A_wish_that_cannot_be_granted_is_one_message_and_exit_code_2(string says, params string[] arguments)
    {
        (int code, string output, string error) = await Run(arguments);

        Assert.Equal((2, string.Empty), (code, output));
        Assert.StartsWith(says, error, StringComparison.Ordinal);
        Assert.Single(error.TrimEnd().Split('\n'));
    }

    [Fact]
    public async Task Looking_for_records_where_there_are_none_makes_none()
    {
        (int code, _, string error) = await ProgramUnderTest.Run("runs", "list", "--state", PathOf("elsewhere"));

        Assert.Equal(2, code);
        Assert.StartsWith("there are no records at", error, StringComparison.Ordinal);
        Assert.False(Directory.Exists(PathOf("elsewhere")));
    }

    private Task<(int Code, string Out, string Error)> Run(params string[] arguments) =>
        ProgramUnderTest.Run([.. arguments, "--state", _folder.FullName]);

    private string PathOf(string name) => Path.Combine(_folder.FullName, name);
}
