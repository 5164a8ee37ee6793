using System.Globalization;
using System.Text.Json;
using Barostep.Daemon;
using Barostep.Daemon.Commands;
using Barostep.Daemon.Output;
using Barostep.Records;
using Barostep.Tests.Records;
using Barostep.Unattended;

namespace Barostep.Tests.Unattended;

/// <summary>What happened while nobody looked.</summary>
public sealed class MorningSummaryTests : IDisposable
{
    private static readonly DateTimeOffset Morning = new(2026, 11, 26, 5, 30, 0, TimeSpan.Zero);

    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("barostep-summary-");
    private readonly RunStore _store;

    public MorningSummaryTests()
    {
        _store = RunStore.Open(Path.Combine(_folder.FullName, "records.sqlite"));
        Save("passed", RunOutcome.Completed, 0);
        Save("failed", RunOutcome.Completed, 0.05);
        Save("tripped", RunOutcome.Tripped, 0, "OverCeiling: the pressure was above the ceiling");
        Save("stopped", RunOutcome.Stopped, 0, "somebody vented");
        Save("last week", RunOutcome.Completed, 0, ended: Morning.AddDays(-7));
        _store.Queue.Add(new QueueWish("demo", "gauge-10bar", "five-point", null, OnFailure.Stop), "Ada Vahl", Morning.AddHours(-9));
        DeviceIdentity device = Assert.Single(_store.Devices.List()).Identity;
        _store.Devices.SetDue(device, new DeviceDue(new DateOnly(2026, 12, 10), Morning, "Ada Vahl", "drift"));
    }

    public void Dispose()
    {
        _store.Dispose();
        _folder.Delete(recursive: true);
    }

    [Fact]
    public void It_counts_what_ended_since_and_tells_why_a_run_was_tripped()
    {
        MorningSummary summary = MorningSummary.Of(_store, Morning.AddDays(-1), Morning, dueWithinDays: 30);

        Assert.Equal("1 passed, 1 failed, 1 tripped, 1 not completed, 1 waiting", SummaryText.Title(summary));
        string text = SummaryText.Of(summary);
        Assert.Contains("TRIPPED: OverCeiling: the pressure was above the ceiling", text, StringComparison.Ordinal);
        Assert.Contains("2026-12-10", text, StringComparison.Ordinal);
        Assert.Contains("gauge-10bar  five-point  waiting", text, StringComparison.Ordinal);
    }

    [Fact]
    public void A_device_that_is_due_later_is_not_named() =>
        Assert.Empty(MorningSummary.Of(_store, Morning.AddDays(-1), Morning, dueWithinDays: 10).Due);

    [Fact]
    public async Task The_command_tells_the_same_to_scripts()
    {
        using var told = new StringWriter(CultureInfo.InvariantCulture);
        using var people = new StringWriter(CultureInfo.InvariantCulture);
        int code = await CommandLine.RunAsync(
            ["summary", "--since", "2026-11-25T05:30Z", "--json", "--due-within-days", "36000", "--state", _folder.FullName],
            new CommandIo(told, people, IsInteractive: false));

        Assert.Equal(ExitCodes.Done, code);
        JsonElement summary = JsonSerializer.Deserialize<JsonElement>(told.ToString());
        Assert.Equal((1, 1, 1, 1), (Count("passed"), Count("failed"), Count("tripped"), Count("notCompleted")));
        Assert.Equal(4, summary.GetProperty("runs").GetArrayLength());
        Assert.Equal("2026-12-10", summary.GetProperty("due")[0].GetProperty("dueOn").GetString());

        int Count(string name) => summary.GetProperty(name).GetInt32();
    }

    [Fact]
    public async Task A_moment_that_cannot_be_read_is_refused_with_an_example()
    {
        using var told = new StringWriter(CultureInfo.InvariantCulture);
        using var people = new StringWriter(CultureInfo.InvariantCulture);
        int code = await CommandLine.RunAsync(["summary", "--since", "yesterday", "--state", _folder.FullName], new CommandIo(told, people, IsInteractive: false));

        Assert.Equal(ExitCodes.Refused, code);
        Assert.Contains("'yesterday' is no moment; write for example", people.ToString(), StringComparison.Ordinal);
    }

    private void Save(string id, RunOutcome outcome, double errorOfSpan, string reason = "", DateTimeOffset? ended = null)
    {
        RunRecord run = SampleRuns.Run(SampleRuns.Transmitter, SampleRuns.UpAndDown, (_, _, _) => errorOfSpan);
        DateTimeOffset end = ended ?? Morning.AddHours(-3);
        _store.Save(run with { Id = id, StartedUtc = end.AddMinutes(-20), EndedUtc = end, Outcome = outcome, OutcomeReason = reason });
    }
}
