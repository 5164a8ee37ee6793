using PdfSharp.Drawing;
using PdfSharp.Fonts;
using PdfSharp.Pdf;

namespace Barostep.Certificates.Pdf;

/// <summary>The one font family of a certificate, carried in the program so that no machine prints it differently.</summary>
internal sealed class EmbeddedFonts : IFontResolver
{
    private const string Family = "DejaVu Sans";
    private const string RegularFace = "DejaVuSans.ttf";
    private const string BoldFace = "DejaVuSans-Bold.ttf";

    private static readonly XPdfFontOptions _options = new(PdfFontEncoding.Unicode);

    // The library keeps one resolver for the whole process and refuses another one; the runtime runs this once.
    static EmbeddedFonts() => GlobalFontSettings.FontResolver = new EmbeddedFonts();

    private EmbeddedFonts()
    {
    }

    public static XFont Regular(double points) => new(Family, points, XFontStyleEx.Regular, _options);

    public static XFont Bold(double points) => new(Family, points, XFontStyleEx.Bold, _options);

    public FontResolverInfo? ResolveTypeface(string familyName, bool isBold, bool isItalic) =>
        new(isBold ? BoldFace : RegularFace, mustSimulateBold: false, mustSimulateItalic: isItalic);

    public byte[]? GetFont(string faceName)
    {
        using Stream stream = typeof(EmbeddedFonts).Assembly.GetManifestResourceStream($"Barostep.Certificates.Fonts.{faceName}")
            ?? throw new InvalidOperationException($"the program lacks its font {faceName}");
        using MemoryStream bytes = new();
        stream.CopyTo(bytes);
        return bytes.ToArray();
    }
}
