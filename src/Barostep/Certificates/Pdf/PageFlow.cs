using PdfSharp;
using PdfSharp.Drawing;
using PdfSharp.Pdf;

namespace Barostep.Certificates.Pdf;

/// <summary>Fills pages from top to bottom: headings, fields and paragraphs, breaking where a page is full.</summary>
internal sealed class PageFlow : IDisposable
{
    private readonly PdfDocument _document;
    private readonly Action<XGraphics, XSize> _background;
    private double _y;

    /// <param name="background">Drawn on each new page before anything else.</param>
    public PageFlow(PdfDocument document, Action<XGraphics, XSize> background)
    {
        _document = document;
        _background = background;
        Graphics = NewPage();
    }

    public XGraphics Graphics { get; private set; }

    /// <summary>Top of what comes next, in points from the top of the page.</summary>
    public double Y => _y;

    public XSize Page { get; private set; }

    public double Width => Page.Width - Style.Left - Style.Right;

    private double Floor => Page.Height - Style.Bottom;

    public void Dispose() => Graphics.Dispose();

    /// <summary>Starts a new page unless that much room is left.</summary>
    /// <returns>Whether a page was started.</returns>
    public bool Need(double height)
    {
        if (_y + height <= Floor)
            return false;
        Break();
        return true;
    }

    public void Break()
    {
        Graphics.Dispose();
        Graphics = NewPage();
    }

    public void Skip(double height) => _y += height;

    /// <summary>A heading with a rule, kept together with the start of what follows.</summary>
    public void Heading(string text, double keepWith = 3 * Style.Leading)
    {
        Need(34 + keepWith);
        if (_y > Style.Top)
            _y += 14;
        Line(text, Style.Heading, Style.Ink, Style.Left);
        _y += 4;
        Graphics.DrawLine(Style.Rule, Style.Left, _y, Style.Left + Width, _y);
        _y += 5;
    }

    /// <summary>A label and its value; nothing at all where there is no value.</summary>
    public void Field(string label, string? value)
    {
        if (value is not null)
            _y = FieldAt(Style.Left, Width, _y, label, value, breaking: true);
    }

    /// <summary>Two columns of fields side by side, kept together; the taller one decides what follows.</summary>
    public void Columns(IReadOnlyList<(string Label, string? Value)> left, IReadOnlyList<(string Label, string? Value)> right)
    {
        const double gutter = 16;
        double width = (Width - gutter) / 2;
        Need(Math.Max(HeightOf(left, width), HeightOf(right, width)));
        double ending = Math.Max(Column(left, Style.Left, width), Column(right, Style.Left + width + gutter, width));
        _y = ending;
    }

    public void Paragraph(string text, XFont? font = null, XBrush? brush = null)
    {
        foreach (string line in TextBlock.Wrap(Graphics, text, font ?? Style.Text, Width))
        {
            Need(Style.Leading);
            Line(line, font ?? Style.Text, brush ?? Style.Ink, Style.Left);
            _y += Style.Leading - LineHeight(font ?? Style.Text);
        }

        _y += 2;
    }

    /// <summary>One line of text with its top at the present place, which then moves below it.</summary>
    public void Line(string text, XFont font, XBrush brush, double x)
    {
        Graphics.DrawString(text, font, brush, x, _y + font.Size, XStringFormats.BaseLineLeft);
        _y += LineHeight(font);
    }

    private static double LineHeight(XFont font) => font.Size * 1.2;

    private double Column(IReadOnlyList<(string Label, string? Value)> fields, double x, double width)
    {
        double y = _y;
        foreach ((string label, string? value) in fields.Where(field => field.Value is not null))
            y = FieldAt(x, width, y, label, value!, breaking: false);
        return y;
    }

    private double HeightOf(IReadOnlyList<(string Label, string? Value)> fields, double width) => fields
        .Where(field => field.Value is not null)
        .Sum(field => (TextBlock.Wrap(Graphics, field.Value!, Style.Text, width - LabelWidth(width)).Count * Style.Leading) + 1.5);

    private double FieldAt(double x, double width, double y, string label, string value, bool breaking)
    {
        double valueX = x + LabelWidth(width);
        bool first = true;
        foreach (string line in TextBlock.Wrap(Graphics, value, Style.Text, width - LabelWidth(width)))
        {
            if (breaking && y + Style.Leading > Floor)
            {
                Break();
                y = _y;
            }

            if (first)
                Graphics.DrawString(label, Style.Text, Style.Label, x, y + Style.Text.Size, XStringFormats.BaseLineLeft);
            first = false;
            Graphics.DrawString(line, Style.Text, Style.Ink, valueX, y + Style.Text.Size, XStringFormats.BaseLineLeft);
            y += Style.Leading;
        }

        return y + 1.5;
    }

    private double LabelWidth(double width) => width < Width ? Style.NarrowLabelWidth : Style.LabelWidth;

    private XGraphics NewPage()
    {
        PdfPage page = _document.AddPage();
        page.Size = PageSize.A4;
        Page = new XSize(page.Width.Point, page.Height.Point);
        _y = Style.Top;
        XGraphics graphics = XGraphics.FromPdfPage(page);
        _background(graphics, Page);
        return graphics;
    }
}
