using System.Text.Json;

namespace Barostep.Tests.EndToEnd;

[Collection(RealPrograms.Name)]
public sealed class JournalCommandTests : IDisposable
{
    private readonly Workshop _workshop = new();

    private string Journal => _workshop.In("out/journal.jsonl");

    private string PublicKey => _workshop.In("out/journal-key.public.pem");

    public void Dispose() => _workshop.Dispose();

    [Fact]
    [Trait("SR", "43, 44")]
    public async Task A_run_s_journal_verifies_against_its_signed_head_replays_and_is_summed_up()
    {
        await Demo();

        Finished verified = await Run("journal", "verify", Journal, "--key", PublicKey);
        Assert.Equal(0, verified.ExitCode);
        Assert.Contains("signed by the owner of", verified.Out, StringComparison.Ordinal);
        Finished replayed = await Run("journal", "replay", Journal);
        Assert.Equal(0, replayed.ExitCode);
        Assert.Contains("found equal, 0 without known limits", replayed.Out, StringComparison.Ordinal);
        Finished report = await Run("journal", "report", Journal, "--json");
        Assert.Equal(0, report.ExitCode);
        using JsonDocument document = JsonDocument.Parse(report.Out);
        Assert.True(document.RootElement.GetProperty("simulated").GetBoolean());
        Assert.Equal("transmitter-16bar", document.RootElement.GetProperty("runs")[0].GetProperty("device").GetString());
    }

    [Fact]
    [Trait("SR", "43")]
    public async Task An_edited_entry_is_named_and_ends_with_5()
    {
        await Demo();
        string[] lines = await File.ReadAllLinesAsync(Journal);
        lines[1] = lines[1].Replace("configuration", "cOnfiguration", StringComparison.Ordinal);
        await File.WriteAllTextAsync(Journal, string.Join('\n', lines) + "\n");

        Finished verified = await Run("journal", "verify", Journal);

        Assert.Equal(5, verified.ExitCode);
        Assert.Contains("Entry 2 at byte ", verified.Out, StringComparison.Ordinal);
        Assert.Equal(5, (await Run("journal", "replay", Journal)).ExitCode);
        Assert.Equal(5, (await Run("journal", "report", Journal)).ExitCode);
    }

    [Fact]
    [Trait("SR", "43")]
    public async Task An_end_that_was_cut_off_is_noticed_by_the_signed_head()
    {
        await Demo();
        string[] lines = await File.ReadAllLinesAsync(Journal);
        await File.WriteAllTextAsync(Journal, string.Join('\n', lines[..^3]) + "\n");

        Finished verified = await Run("journal", "verify", Journal, "--key", PublicKey);

        Assert.Equal(5, verified.ExitCode);
        Assert.Contains("3 entries or more are missing at its end", verified.Out, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_head_that_somebody_else_signed_is_not_accepted()
    {
        await Demo();
        (_, string stranger) = Barostep.Safety.SignedHead.CreateKey();
        await File.WriteAllTextAsync(_workshop.In("stranger.pem"), stranger);

        Finished verified = await Run("journal", "verify", Journal, "--key", _workshop.In("stranger.pem"));

        Assert.Equal(5, verified.ExitCode);
        Assert.Contains("is not signed by the owner of", verified.Out, StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_private_key_is_its_owner_s_alone_and_stays_the_same()
    {
        await Demo();
        string key = _workshop.In("out/journal-key.pem");
        string first = await File.ReadAllTextAsync(key);
        if (!OperatingSystem.IsWindows())
            Assert.Equal(UnixFileMode.UserRead | UnixFileMode.UserWrite, File.GetUnixFileMode(key));

        await Demo();

        Assert.Equal(first, await File.ReadAllTextAsync(key));
    }

    [Theory]
    [InlineData("journal verify nowhere.jsonl", "nowhere.jsonl cannot be read: ")]
    [InlineData("journal replay nowhere.jsonl", "nowhere.jsonl cannot be read: ")]
    [InlineData("journal report nowhere.jsonl --unit furlong", "there is no unit 'furlong'")]
    public async Task What_cannot_be_read_is_refused(string arguments, string message)
    {
        Finished refused = await Run(arguments.Split(' '));

        Assert.Equal(2, refused.ExitCode);
        Assert.Contains(message, refused.Error, StringComparison.Ordinal);
        Assert.DoesNotContain("   at ", refused.Error, StringComparison.Ordinal);
    }

    private async Task Demo()
    {
        Finished demo = await Run("demo", "--procedure", "quick", "--config", _workshop.Config, "--out", _workshop.In("out"));
        Assert.Equal(0, demo.ExitCode);
    }

    private Task<Finished> Run(params string[] arguments) => ChildProgram.RunAsync(_workshop.Folder, arguments);
}
