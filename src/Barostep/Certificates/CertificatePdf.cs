using Barostep.Certificates.Pdf;
using PdfSharp.Pdf;

namespace Barostep.Certificates;

/// <summary>certificate.pdf: A4, real text, one embedded font. The same certificate gives the same text and pages.</summary>
/// <remarks>Not the same bytes: the library names each subset of the font at random.</remarks>
public static class CertificatePdf
{
    public static void Write(Stream stream, Certificate certificate)
    {
        using PdfDocument document = new();
        document.Info.Title = $"{certificate.Title} {certificate.Number}";
        document.Info.Author = certificate.Laboratory.Name;
        document.Info.Creator = $"Barostep {certificate.SoftwareVersion}";
        document.Info.CreationDate = certificate.Series[^1].EndedUtc.UtcDateTime;
        document.Language = "en";

        PageFrame frame = new(certificate);
        using (PageFlow flow = new(document, frame.DrawBackground))
            CertificatePages.Draw(flow, certificate);
        frame.DrawAround(document);
        document.Save(stream, closeStream: false);
    }
}
