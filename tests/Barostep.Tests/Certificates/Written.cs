using System.Xml.Linq;
using Barostep.Certificates;

namespace Barostep.Tests.Certificates;

/// <summary>A certificate in each format.</summary>
internal static class Written
{
    public static byte[] Xml(Certificate certificate) => Bytes(stream => CertificateXml.Write(stream, certificate));

    public static byte[] Json(Certificate certificate) => Bytes(stream => CertificateJson.Write(stream, certificate));

    public static byte[] Csv(Certificate certificate) => Bytes(stream => CertificateCsv.Write(stream, certificate));

    public static byte[] Results(Certificate certificate) => Bytes(stream => CertificateCsv.WriteResults(stream, certificate));

    public static byte[] Pdf(Certificate certificate) => Bytes(stream => CertificatePdf.Write(stream, certificate));

    public static XDocument Document(Certificate certificate) => XDocument.Load(new MemoryStream(Xml(certificate)), LoadOptions.PreserveWhitespace);

    /// <summary>The text of the PDF in the order in which it was drawn, pages parted by form feeds.</summary>
    public static string PdfText(Certificate certificate) => WithFile(Pdf(certificate), path => ExternalTool.Run("pdftotext", "-raw", path, "-").Output);

    public static T WithFile<T>(byte[] content, Func<string, T> use)
    {
        string path = Path.Combine(Path.GetTempPath(), $"barostep-{Guid.NewGuid():N}");
        try
        {
            File.WriteAllBytes(path, content);
            return use(path);
        }
        finally
        {
            File.Delete(path);
        }
    }

    private static byte[] Bytes(Action<Stream> write)
    {
        using MemoryStream stream = new();
        write(stream);
        return stream.ToArray();
    }
}
