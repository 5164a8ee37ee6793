using System.Globalization;
using Barostep.Certificates;
using Barostep.Configuration;
using Barostep.Daemon.Output;
using Barostep.Daemon.Sweeps;
using Barostep.Evaluation;
using Barostep.Evaluation.Characteristics;
using Barostep.Records;
using Barostep.Tests.Certificates;
using Barostep.Tests.EndToEnd;

namespace Barostep.Tests.Jobs;

/// <summary>A whole job on virtual time: as found, adjusted in the simulator by exactly the advice, as left, certified.</summary>
[Collection(RealPrograms.Name)]
public sealed class AdjustedJobTests : IDisposable
{
    private const double PlantedZero = 0.62;
    private const double PlantedSpan = -0.97;

    private readonly Workshop _workshop = new();

    public void Dispose() => _workshop.Dispose();

    [Fact]
    public void A_transmitter_that_fails_as_found_and_is_adjusted_by_the_advice_ends_within_tolerance()
    {
        SweepJob job = Job();
        using RunStore store = RunStore.Open(_workshop.In("records.sqlite"));

        RunResult found = RunOf(job, JobStage.AsFound, PlantedZero, PlantedSpan, "found");
        store.Save(found.Record);
        Assert.Equal(Conformity.Failed, found.Conformity);
        AdjustmentAdvice advice = found.Advice!;
        Trim trim = advice.ZeroAndSpan!;
        Assert.True(trim.BringsInside(job.Device.ToleranceOfSpan));
        Assert.NotNull(store.Jobs.Objection(new JobUse(job.Job!.Job, JobStage.AsLeft)));
        store.Jobs.Adjust(job.Job.Job.Name, new Adjustment(VirtualRun.Started.AddHours(1), "M. Iversen", "zero and span by the advice"));

        RunResult left = RunOf(job, JobStage.AsLeft, PlantedZero + (trim.Zero * 100), PlantedSpan + (trim.Span * 100), "left");
        store.Save(left.Record);

        Assert.Equal(Conformity.Passed, left.Conformity);
        // What the advice foretold, to within the noise of two runs.
        Assert.Equal(trim.LargestErrorAfter, left.LargestError!.Values!.ErrorOfSpan is var error ? Math.Abs(error) : 0, 2e-5);
        AsFoundAsLeft compared = AsFoundAsLeft.Compare(found, left);
        Assert.True(compared.PastReadingsAreInDoubt);
        Assert.True(compared.LargestLeft < compared.LargestFound / 5);

        JobText_shows_both(found, left);
        The_certificate_shows_both_and_is_made_again_to_the_byte(store, found, left);
    }

    private static void JobText_shows_both(RunResult found, RunResult left)
    {
        using var text = new StringWriter();
        JobText.WriteComparison(text, found, left);
        JobText.WriteAdvice(text, found);

        Assert.Contains("as found FAILED", text.ToString(), StringComparison.Ordinal);
        Assert.Contains("as left passed", text.ToString(), StringComparison.Ordinal);
        Assert.Contains("adjustment  shift the zero by", text.ToString(), StringComparison.Ordinal);
    }

    private void The_certificate_shows_both_and_is_made_again_to_the_byte(RunStore store, RunResult found, RunResult left)
    {
        Laboratory laboratory = _workshop.Load().Daemon.Laboratory!;
        CertificateDesk desk = new CertificateDesk(store, laboratory);

        IssuedCertificate draft = desk.Issue([found.Record.Id, left.Record.Id], "M. Iversen");
        IssuedCertificate signed = desk.SignOff(draft, "J. Sommer", "head of the workshop");

        Certificate remade = CertificateDesk.Remade(store, signed);
        Assert.False(remade.IsDraft, string.Join("; ", remade.DraftReasons));
        Assert.Equal([ItemState.AsFound, ItemState.AsLeft], remade.Series.Select(series => series.State));
        Assert.Equal([Conformity.Failed, Conformity.Passed], remade.Series.Select(series => series.Conformity));
        Assert.Contains("by M. Iversen: zero and span by the advice", remade.AdjustmentNote, StringComparison.Ordinal);
        Assert.Equal(("District heating, network operations", "NO-2026-0188"), (remade.Customer.Name, remade.OrderNumber));
        Assert.All(remade.Series, series => Assert.All(series.Points, point => Assert.NotNull(point.Uncertainty)));
        Assert.All(remade.Series, series => Assert.NotEmpty(series.JournalHead));
        Assert.Equal(["reference", "multimeter"], remade.Standards.Select(standard => standard.Role));
        byte[] kept = CertificateDesk.Bytes(store, signed, "xml");
        Assert.Equal(kept, CertificateDesk.Written(remade, "xml"));
        Assert.Equal(CertificateDesk.Written(remade, "json"), CertificateDesk.Written(CertificateDesk.Remade(store, signed), "json"));
        if (ExternalTool.Exists("pdftotext"))
            Assert.Equal(TextOf(CertificateDesk.Bytes(store, signed, "pdf")), Written.PdfText(remade));
        if (Directory.Exists(PublishedSchemas.Folder))
            Assert.Empty(PublishedSchemas.Faults(new MemoryStream(kept)));

        // What was drafted is still there beside what was signed, and nothing of either changes.
        Assert.NotEqual(draft.Documents[0].Sha256, signed.Documents[0].Sha256);
        Assert.Throws<RunStoreException>(() => desk.SignOff(signed, "Somebody", "else"));
        IssuedCertificate amended = desk.Issue(signed.RunIds, "M. Iversen", new ReplacedCertificate(signed.Number, "wrong order"));
        Assert.Equal((signed.Number, amended.Number), (amended.Amends!.Number, store.Certificates.Get(signed.Number)!.ReplacedBy));
        Assert.Equal(kept, CertificateDesk.Bytes(store, store.Certificates.Get(signed.Number)!, "xml"));
        Assert.Contains(signed.Number, CertificateDesk.Remade(store, amended).Amendment!.ReplacedNumber, StringComparison.Ordinal);
    }

    private static string TextOf(byte[] pdf) => Written.WithFile(pdf, path => ExternalTool.Run("pdftotext", "-raw", path, "-").Output);

    private SweepJob Job()
    {
        SweepJob job = VirtualRun.Job(_workshop, "demo", "transmitter-16bar", "five-point");
        return job with
        {
            Job = new JobUse(_workshop.Load().Jobs["substation-4"], JobStage.AsFound),
            PerformedBy = "M. Iversen",
            Standards = StandardsInUse.Record(job.Bench, new DateOnly(2026, 4, 1), null),
            Environment = [new EnvironmentReading(0, 21.5, 0.43, 100_900, "read by M. Iversen")],
        };
    }

    private RunResult RunOf(SweepJob job, JobStage stage, double zeroPercent, double spanPercent, string id)
    {
        string bench = _workshop.BenchFile(
            "demo",
            ("zero_percent = 0.08", string.Create(CultureInfo.InvariantCulture, $"zero_percent = {zeroPercent:0.000000}")),
            ("span_percent = -0.12", string.Create(CultureInfo.InvariantCulture, $"span_percent = {spanPercent:0.000000}")));
        RunResult result = VirtualRun.Of(job with { Job = job.Job! with { Stage = stage }, RunId = $"{id}-00000000" }, bench);
        return stage == JobStage.AsFound ? result : RunEvaluation.Evaluate(result.Record with
        {
            StartedUtc = result.Record.StartedUtc.AddHours(2),
            EndedUtc = result.Record.EndedUtc.AddHours(2),
        });
    }
}
