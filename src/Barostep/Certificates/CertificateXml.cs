using System.Text;
using System.Xml;
using Barostep.Certificates.Dcc;

namespace Barostep.Certificates;

/// <summary>
/// certificate.xml: a digital calibration certificate to the open schema DCC 3.3.0 with D-SI 2.2.1, UTF-8, without a
/// byte order mark. The same certificate gives the same bytes.
/// </summary>
public static class CertificateXml
{
    private static readonly XmlWriterSettings _settings = new()
    {
        Encoding = new UTF8Encoding(false),
        Indent = true,
        NewLineChars = "\n",
        CloseOutput = false,
    };

    public static void Write(Stream stream, Certificate certificate)
    {
        using (XmlWriter xml = XmlWriter.Create(stream, _settings))
        {
            DccWriter dcc = new(xml);
            dcc.Root(() =>
            {
                new AdministrativeData(dcc, certificate).Write();
                dcc.Element("measurementResults", () =>
                {
                    foreach (CertificateSeries series in certificate.Series)
                        new MeasurementResult(dcc, certificate, series).Write();
                });
            });
        }

        stream.WriteByte((byte)'\n');
    }
}
