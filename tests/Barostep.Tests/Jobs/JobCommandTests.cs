using Barostep.Certificates;
using Barostep.Configuration;
using Barostep.Records;
using Barostep.Tests.Records;

namespace Barostep.Tests.Jobs;

/// <summary>From a finished run to a signed certificate, as a person types it; and what is refused on the way.</summary>
public sealed class JobCommandTests : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("barostep-certify-");

    public void Dispose() => _folder.Delete(recursive: true);

    [Fact]
    public async Task A_run_is_certified_signed_shown_and_amended()
    {
        Keep(Certifiable());

        (int code, string issued, _) = await Run("certificates", "issue", "--run", "0198", "--by", "A. Holm");
        Assert.Equal(0, code);
        Assert.StartsWith("certificate DH-P-00001, draft", issued, StringComparison.Ordinal);

        Assert.Equal(0, (await Run("certificates", "sign-off", "DH-P-00001", "--by", "J. Sommer", "--function", "head of the workshop")).Code);
        (_, string shown, _) = await Run("certificates", "show", "DH-P-00001");
        Assert.Contains("signed off", shown, StringComparison.Ordinal);
        (_, string xml, _) = await Run("certificates", "show", "DH-P-00001", "--format", "xml");
        Assert.Contains("J. Sommer", xml, StringComparison.Ordinal);
        Assert.Equal(xml, (await Run("runs", "certificate", "0198", "--format", "xml")).Out);
        Assert.Equal(0, (await Run("certificates", "show", "DH-P-00001", "--format", "pdf", "--out", PathOf("c.pdf"))).Code);
        Assert.StartsWith("%PDF", File.ReadAllText(PathOf("c.pdf"))[..4], StringComparison.Ordinal);
        Assert.Equal(0, (await Run("certificates", "verify", "DH-P-00001")).Code);

        (code, string amended, _) = await Run("certificates", "amend", "DH-P-00001", "--by", "A. Holm", "--reason", "The tag was misread.");
        Assert.Equal(0, code);
        Assert.Contains("replaces DH-P-00001: The tag was misread.", amended, StringComparison.Ordinal);
        (_, string list, _) = await Run("certificates", "list");
        Assert.Contains("replaced by DH-P-00002", list, StringComparison.Ordinal);
        Assert.Equal(xml, (await Run("certificates", "show", "DH-P-00001", "--format", "xml")).Out);
    }

    [Fact]
    public async Task A_signature_does_not_help_what_is_missing()
    {
        Keep(Certifiable() with { Environment = [] });
        await Run("certificates", "issue", "--run", "0198", "--by", "A. Holm");

        (int code, _, string error) = await Run("certificates", "sign-off", "DH-P-00001", "--by", "J. Sommer", "--function", "head");

        Assert.Equal(2, code);
        Assert.Contains("the conditions of the work are not all recorded", error, StringComparison.Ordinal);
    }

    [Fact]
    public void The_certificate_shows_who_allowed_an_overdue_standard_and_is_no_draft_for_it()
    {
        RunRecord run = Certifiable();
        StandardUse overdue = run.Standards[0] with
        {
            Standard = SampleRuns.Reference with { DueOn = new DateOnly(2026, 3, 1) },
            Allowance = new OverdueAllowance("J. Sommer", "the spare is at the laboratory"),
        };

        Certificate allowed = Draft(run with { Standards = [overdue] });
        Certificate silent = Draft(run with { Standards = [overdue with { Allowance = null }] });

        Assert.Equal("used overdue, allowed by J. Sommer: the spare is at the laboratory", allowed.Standards[0].OverdueAllowed);
        Assert.Equal(["nobody has authorised it"], allowed.DraftReasons);
        Assert.Contains(silent.DraftReasons, reason => reason.Contains("was due on 2026-03-01", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("write what is to be certified: --run ID or --job NAME", "certificates", "issue", "--by", "x")]
    [InlineData("no run was made for a job 'nobody'", "certificates", "issue", "--job", "nobody", "--by", "x")]
    [InlineData("there is no certificate DH-P-00009", "certificates", "show", "DH-P-00009")]
    [InlineData("a PDF is no text for a terminal", "runs", "certificate", "0198", "--format", "pdf")]
    [InlineData("point 40 has no budget", "runs", "show", "0198", "--budget", "40")]
    public async Task A_certificate_that_cannot_be_is_one_message_and_exit_code_2(string says, params string[] arguments)
    {
        Keep(Certifiable());

        (int code, _, string error) = await Run(arguments);

        Assert.Equal(2, code);
        Assert.StartsWith(says, error, StringComparison.Ordinal);
        Assert.Single(error.TrimEnd().Split('\n'));
    }

    [Fact]
    public async Task The_budget_of_a_point_is_shown_as_a_table_that_adds_up()
    {
        Keep(Certifiable());

        (_, string shown, _) = await Run("runs", "show", "0198", "--budget", "6");

        string[] lines = shown.Split('\n');
        int head = Array.FindIndex(lines, line => line.StartsWith("input", StringComparison.Ordinal));
        int sum = Array.FindIndex(lines, head, line => line.StartsWith("sum", StringComparison.Ordinal));
        double[] squares = [.. lines[(head + 2)..(sum - 1)].Select(Square)];
        Assert.True(squares.Length >= 4, shown);
        Assert.Equal(Square(lines[sum]), squares.Sum(), 1e-3 * squares.Sum());
    }

    [Theory]
    [InlineData("an overdue standard is allowed by a named person for a reason", "--allow-overdue", "J. Sommer")]
    [InlineData("--as-found and --as-left are stages of a job", "--as-left")]
    [InlineData("there is no job 'nobody'", "--job", "nobody")]
    [InlineData("a run is --as-found or --as-left", "--job", "substation-4", "--as-found", "--as-left")]
    [InlineData("there are no records of job substation-4 yet", "--job", "substation-4", "--as-left")]
    [InlineData("--ambient \"warm\"", "--ambient", "warm")]
    public async Task A_demo_that_cannot_be_is_one_message_and_exit_code_2(string says, params string[] arguments)
    {
        (int code, string output, string error) = await ProgramUnderTest.Run(["demo", .. arguments]);

        Assert.Equal((2, string.Empty), (code, output));
        Assert.StartsWith(says, error, StringComparison.Ordinal);
        Assert.Single(error.TrimEnd().Split('\n'));
    }

    [Fact]
    public async Task A_sweep_with_an_overdue_standard_is_refused_and_says_who_could_allow_it()
    {
        using var workshop = new Workshop();
        workshop.Change("standards/indicator-16bar.toml", "due = 2027-03-18", "due = 2026-03-19");

        (int code, _, string error) = await ProgramUnderTest.Run(
            "sweep", "--bench", "demo", "--job", "substation-4", "--procedure", "quick", "--config", workshop.Config, "--state", workshop.In("state"));

        Assert.Equal(2, code);
        Assert.Contains("the reference indicator-16bar is overdue", error, StringComparison.Ordinal);
        Assert.Contains("--allow-overdue NAME --reason TEXT", error, StringComparison.Ordinal);
        Assert.False(Directory.Exists(workshop.In("state")));
    }

    private static double Square(string line)
    {
        string[] cells = line.Split(' ', StringSplitOptions.RemoveEmptyEntries);
        return double.Parse(cells[^2], System.Globalization.CultureInfo.InvariantCulture);
    }

    private static Certificate Draft(RunRecord run) => RunCertificate.Draft(
        [Barostep.Evaluation.RunEvaluation.Evaluate(run)],
        new Laboratory("Workshop", "Lane 4", "00471", "Northfield", "XX", string.Empty, "W-"),
        []);

    private static RunRecord Certifiable() => SampleRuns.Run(SampleRuns.Transmitter, SampleRuns.UpAndDown, (_, _, share) => 0.001 - (0.0015 * share)) with
    {
        Standards = [new StandardUse("reference", SampleRuns.Reference, null)],
        Environment = [new EnvironmentReading(0, 21, 0.4, 101_000, "read by A. Holm")],
        PerformedBy = "A. Holm",
        Simulated = false,
    };

    private void Keep(RunRecord run)
    {
        using RunStore store = RunStore.Open(PathOf("records.sqlite"));
        store.Save(run);
    }

    private Task<(int Code, string Out, string Error)> Run(params string[] arguments) =>
        ProgramUnderTest.Run([.. arguments, "--state", _folder.FullName]);

    private string PathOf(string name) => Path.Combine(_folder.FullName, name);
}
