using System.Text.RegularExpressions;
using Barostep.Certificates;
using Barostep.Evaluation;
using Barostep.Procedures;
using Barostep.Records;
using Barostep.Tests.Records;

namespace Barostep.Tests.Certificates;

public sealed partial class CertificatePdfTests
{
    public static TheoryData<string> Names => [.. SampleCertificates.All.Keys];

    [ToolTheory("pdftotext")]
    [MemberData(nameof(Names))]
    public void The_same_certificate_gives_the_same_text_and_pages(string name)
    {
        Certificate certificate = SampleCertificates.All[name];

        Assert.Equal(Written.PdfText(certificate), Written.PdfText(certificate));
    }

    [ToolTheory("pdftotext")]
    [MemberData(nameof(Names))]
    public void Every_page_has_the_number_and_its_place_and_the_last_one_ends_the_certificate(string name)
    {
        Certificate certificate = SampleCertificates.All[name];
        string[] pages = Pages(certificate);

        for (int i = 0; i < pages.Length; i++)
        {
            Assert.Contains($"certificate no. {certificate.Number}", pages[i], StringComparison.Ordinal);
            Assert.Contains($"page {i + 1} of {pages.Length}\n", pages[i], StringComparison.Ordinal);
            Assert.Equal(i == pages.Length - 1, pages[i].Contains($"— end of certificate no. {certificate.Number} —", StringComparison.Ordinal));
        }
    }

    [ToolTheory("pdftotext")]
    [MemberData(nameof(Names))]
    public void Drafts_and_simulated_runs_say_so_on_every_page_and_others_on_none(string name)
    {
        Certificate certificate = SampleCertificates.All[name];

        foreach (string page in Pages(certificate))
        {
            Assert.Equal(certificate.IsDraft, page.Contains("DRAFT, not yet a certificate", StringComparison.Ordinal));
            Assert.Equal(certificate.IsDraft, page.StartsWith("D\nR\nA\nF\nT\n", StringComparison.Ordinal));
            Assert.Equal(certificate.Simulated, page.Contains("SIMULATED: every reading comes from a simulated bench", StringComparison.Ordinal));
        }
    }

    [ToolTheory("pdftotext")]
    [MemberData(nameof(Names))]
    public void Every_point_is_printed_with_all_its_figures(string name)
    {
        Certificate certificate = SampleCertificates.All[name];
        string text = Written.PdfText(certificate);

        foreach (CertificatePoint point in certificate.Series.SelectMany(series => series.Points))
        {
            ShownFigures shown = point.Shown;
            decimal?[] figures = certificate.Item.OutputUnit is null
                ? [shown.Nominal, shown.Reference, shown.Indication, shown.Error, shown.ErrorPercentOfSpan, shown.Uncertainty, shown.CoverageFactor, shown.Limit]
                : [shown.Nominal, shown.Reference, shown.Output, shown.Indication, shown.Error, shown.ErrorPercentOfSpan, shown.Uncertainty, shown.CoverageFactor, shown.Limit];
            string row = $"{point.Index} {(point.Direction == SeriesDirection.Ascending ? "up" : "down")} {string.Join(' ', figures.Select(Printed))}";
            Assert.Contains(row, text.Replace("+", "", StringComparison.Ordinal), StringComparison.Ordinal);
        }
    }

    [ToolFact("pdftotext")]
    public void A_long_table_goes_on_over_the_pages_under_the_same_head()
    {
        Procedure procedure = SampleRuns.UpAndDown with { Cycles = 9 };
        RunResult result = RunEvaluation.Evaluate(SampleRuns.Run(SampleRuns.Transmitter, procedure, (_, _, _) => 0.001));
        Certificate certificate = CertificateBuilder.From(new CertifiedRun(result, SampleCertificates.Uncertainties(result)), SampleCertificates.Details);

        string[] pages = [.. Pages(certificate).Where(page => PointRow().IsMatch(page))];

        Assert.True(pages.Length >= 3, $"{pages.Length} pages hold points");
        Assert.All(pages, page => Assert.Contains("nominal", page, StringComparison.Ordinal));
        Assert.Equal(108, pages.Sum(page => PointRow().Count(page)));
    }

    [Fact]
    public void Any_text_can_be_printed()
    {
        const string odd = "\u0003\t\r\n\uD83D\uDE00 Ω–≤ \u202E \u0000";
        Certificate certificate = CertificateBuilder.From(
            new CertifiedRun(RunEvaluation.Evaluate(SampleCertificates.Record(SampleRuns.Transmitter, (_, _, _) => 0) with
            {
                Points = [],
                Instruments = new Dictionary<string, string> { ["meter"] = odd + new string('W', 500) },
            })),
            SampleCertificates.Details with { Condition = odd, OrderNumber = string.Empty });

        Assert.True(Written.Pdf(certificate).Length > 10_000);
    }

    [ToolFact("pdffonts")]
    public void Every_font_is_embedded()
    {
        string[] fonts = Written.WithFile(Written.Pdf(SampleCertificates.Issued), path => ExternalTool.Run("pdffonts", path).Output)
            .Split('\n', StringSplitOptions.RemoveEmptyEntries)[2..];

        Assert.NotEmpty(fonts);
        Assert.All(fonts, font => Assert.Matches(@"DejaVu Sans.*\byes\s+yes\s+yes\b", font));
    }

    [Fact]
    public void Certificates_can_be_written_side_by_side()
    {
        int[] lengths = new int[8];
        Parallel.For(0, lengths.Length, i => lengths[i] = Written.Pdf(SampleCertificates.All.Values.ElementAt(i % 5)).Length);

        Assert.All(lengths, length => Assert.True(length > 10_000));
    }

    [Fact]
    public void Nothing_is_called_certified_or_accredited_and_no_date_of_a_next_calibration_is_given()
    {
        string everything = System.Text.Encoding.UTF8.GetString(Written.Json(SampleCertificates.Draft));

        Assert.DoesNotContain("certified", everything, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("accredited", everything, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("next calibration", everything, StringComparison.OrdinalIgnoreCase);
    }

    private static string[] Pages(Certificate certificate) => Written.PdfText(certificate).Split('\f', StringSplitOptions.RemoveEmptyEntries);

    private static string Printed(decimal? figure) => figure is { } value
        ? value.ToString(System.Globalization.CultureInfo.InvariantCulture).Replace('-', '−')
        : "–";

    [GeneratedRegex(@"^\d+ \d+ (up|down) ", RegexOptions.Multiline)]
    private static partial Regex PointRow();
}
