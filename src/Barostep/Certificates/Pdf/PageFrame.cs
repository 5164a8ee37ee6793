using PdfSharp.Drawing;
using PdfSharp.Pdf;

namespace Barostep.Certificates.Pdf;

/// <summary>What stands on every page around its content: number, laboratory, marks, page x of y.</summary>
internal sealed class PageFrame(Certificate certificate)
{
    /// <summary>Behind the text, so that nothing of it is hidden.</summary>
    public void DrawBackground(XGraphics graphics, XSize page)
    {
        if (!certificate.IsDraft)
            return;
        XGraphicsState upright = graphics.Save();
        graphics.RotateAtTransform(-52, new XPoint(page.Width / 2, page.Height / 2));
        graphics.DrawString("DRAFT", Style.Watermark, Style.Ghost, new XRect(0, 0, page.Width, page.Height), XStringFormats.Center);
        graphics.Restore(upright);
    }

    /// <summary>Once all pages are there, since only then their number is known.</summary>
    public void DrawAround(PdfDocument document)
    {
        for (int i = 0; i < document.PageCount; i++)
        {
            PdfPage page = document.Pages[i];
            using XGraphics graphics = XGraphics.FromPdfPage(page, XGraphicsPdfPageOptions.Append);
            Header(graphics, page.Width.Point);
            Footer(graphics, page.Width.Point, page.Height.Point, i + 1, document.PageCount);
        }
    }

    private void Header(XGraphics graphics, double width)
    {
        const double baseline = 52;
        graphics.DrawString(certificate.Laboratory.Name, Style.Strong, Style.Ink, Style.Left, baseline, XStringFormats.BaseLineLeft);
        RightAligned(graphics, $"certificate no. {certificate.Number}", Style.Strong, Style.Ink, width - Style.Right, baseline);
        graphics.DrawLine(Style.Rule, Style.Left, baseline + 5, width - Style.Right, baseline + 5);
        if (certificate.Simulated)
            graphics.DrawString(Wording.Simulated, Style.Strong, Style.Warning, Style.Left, baseline + 18, XStringFormats.BaseLineLeft);
    }

    private void Footer(XGraphics graphics, double width, double height, int page, int pages)
    {
        double baseline = height - 42;
        graphics.DrawLine(Style.Hairline, Style.Left, baseline - 12, width - Style.Right, baseline - 12);
        string state = certificate.IsDraft ? "DRAFT, not yet a certificate" : certificate.Title;
        graphics.DrawString(state, Style.Small, certificate.IsDraft ? Style.Warning : Style.Label, Style.Left, baseline, XStringFormats.BaseLineLeft);
        // At the foot, so that it never stands alone on a page.
        if (page == pages)
            Centred(graphics, $"— end of certificate no. {certificate.Number} —", Style.SmallStrong, width / 2, baseline);
        RightAligned(graphics, Wording.Invariant($"page {page} of {pages}"), Style.Small, Style.Ink, width - Style.Right, baseline);
    }

    private static void Centred(XGraphics graphics, string text, XFont font, double middle, double baseline) =>
        RightAligned(graphics, text, font, Style.Ink, middle + (TextBlock.WidthOf(graphics, text, font) / 2), baseline);

    private static void RightAligned(XGraphics graphics, string text, XFont font, XBrush brush, double right, double baseline) =>
        graphics.DrawString(text, font, brush, right - TextBlock.WidthOf(graphics, text, font), baseline, XStringFormats.BaseLineLeft);
}
