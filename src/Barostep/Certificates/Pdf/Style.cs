using PdfSharp.Drawing;

namespace Barostep.Certificates.Pdf;

/// <summary>Sizes in points and the few colours; everything also reads in black and white.</summary>
internal static class Style
{
    public const double MillimetresToPoints = 72 / 25.4;

    public const double Left = 20 * MillimetresToPoints;
    public const double Right = 20 * MillimetresToPoints;
    public const double Top = 30 * MillimetresToPoints;
    public const double Bottom = 24 * MillimetresToPoints;

    /// <summary>From one baseline of running text to the next.</summary>
    public const double Leading = 12;

    /// <summary>Where the value of a field begins, from the left edge of its column.</summary>
    public const double LabelWidth = 126;

    /// <summary>The same where two columns stand side by side.</summary>
    public const double NarrowLabelWidth = 66;

    public static readonly XFont Title = EmbeddedFonts.Bold(18);
    public static readonly XFont Heading = EmbeddedFonts.Bold(10);
    public static readonly XFont Text = EmbeddedFonts.Regular(8.5);
    public static readonly XFont Strong = EmbeddedFonts.Bold(8.5);
    public static readonly XFont Small = EmbeddedFonts.Regular(7.5);
    public static readonly XFont SmallStrong = EmbeddedFonts.Bold(7.5);
    /// <summary>Cells of a table, regular and strong, from the usual size to the smallest that is still legible.</summary>
    public static readonly IReadOnlyList<(XFont Regular, XFont Strong)> Cells =
        [.. new[] { 8.0, 7.0, 6.0 }.Select(points => (EmbeddedFonts.Regular(points), EmbeddedFonts.Bold(points)))];

    public static readonly XFont Watermark = EmbeddedFonts.Bold(150);

    public static readonly XBrush Ink = new XSolidBrush(XColor.FromArgb(20, 20, 20));
    public static readonly XBrush Label = new XSolidBrush(XColor.FromArgb(90, 90, 90));
    public static readonly XBrush Warning = new XSolidBrush(XColor.FromArgb(190, 0, 0));
    public static readonly XBrush Ghost = new XSolidBrush(XColor.FromArgb(236, 236, 236));

    public static readonly XPen Rule = new(XColor.FromArgb(60, 60, 60), 0.8);
    public static readonly XPen Hairline = new(XColor.FromArgb(190, 190, 190), 0.4);
}
