using PdfSharp.Drawing;

namespace Barostep.Certificates.Pdf;

/// <summary>An uncertainty budget as a small table; the squares of its last column add up to that of the combined one.</summary>
internal static class BudgetRows
{
    private const double RowHeight = 11;

    // Where each column begins, as a share of the width.
    private static readonly double[] _starts = [0, 0.34, 0.50, 0.66, 0.74, 0.84];

    public static void Draw(PageFlow flow, CertificateSeries series, PointBudget budget)
    {
        flow.Need((budget.Lines.Count + 4) * RowHeight);
        flow.Skip(4);
        flow.Paragraph($"{series.Title}: budget of {budget.Title}, where U is largest beside the limit", Style.SmallStrong);
        Row(flow, Style.SmallStrong, "contribution", "distribution", "u", "c", "ν", "c·u");
        flow.Graphics.DrawLine(Style.Hairline, Style.Left, flow.Y, Style.Left + flow.Width, flow.Y);
        foreach (BudgetLine line in budget.Lines)
            Row(flow, Style.Small, line.Name, line.Distribution, line.StandardUncertainty, line.Sensitivity.Replace('-', '−'), line.DegreesOfFreedom, line.Contribution.Replace('-', '−'));
        flow.Graphics.DrawLine(Style.Hairline, Style.Left, flow.Y, Style.Left + flow.Width, flow.Y);
        Row(flow, Style.Small, "combined, root of the sum of squares", budget.Combined);
    }

    private static void Row(PageFlow flow, XFont font, params string[] cells)
    {
        for (int i = 0; i < cells.Length; i++)
            flow.Graphics.DrawString(cells[i], font, Style.Ink, Style.Left + (_starts[i] * flow.Width), flow.Y + font.Size + 1, XStringFormats.BaseLineLeft);
        flow.Skip(RowHeight);
    }
}
