using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using System.Text;
using Barostep.Certificates;

namespace Barostep.Tests.Certificates;

public sealed class CertificateSignatureTests : IDisposable
{
    private readonly X509Certificate2 _signer = SelfSigned(ECCurve.NamedCurves.nistP256);

    public void Dispose() => _signer.Dispose();

    [Fact]
    public void A_signed_certificate_verifies_and_names_its_signer()
    {
        Assert.True(CertificateSignature.Verify(new MemoryStream(Signed()), out X509Certificate2? signer));
        Assert.Equal(_signer.Thumbprint, signer!.Thumbprint);
    }

    [Fact]
    public void One_changed_digit_is_noticed()
    {
        string text = Encoding.UTF8.GetString(Signed());
        byte[] changed = Encoding.UTF8.GetBytes(text.Replace("0.0120", "0.0020", StringComparison.Ordinal));

        Assert.NotEqual(text.Length, text.Replace("0.0120", "", StringComparison.Ordinal).Length);
        Assert.False(CertificateSignature.Verify(new MemoryStream(changed), out X509Certificate2? signer));
        Assert.Null(signer);
    }

    [Fact]
    public void A_certificate_without_a_signature_does_not_verify() =>
        Assert.False(CertificateSignature.Verify(new MemoryStream(Written.Xml(SampleCertificates.Issued)), out _));

    [Fact]
    public void A_signature_that_covers_nothing_does_not_verify()
    {
        string text = Encoding.UTF8.GetString(Signed()).Replace("<Reference URI=\"\">", "<Reference URI=\"#nothing\">", StringComparison.Ordinal);

        Assert.False(CertificateSignature.Verify(new MemoryStream(Encoding.UTF8.GetBytes(text)), out _));
    }

    [Fact]
    public void A_key_on_another_curve_is_refused()
    {
        using X509Certificate2 other = SelfSigned(ECCurve.NamedCurves.nistP384);

        ArgumentException refused = Assert.Throws<ArgumentException>(() =>
            CertificateSignature.Sign(new MemoryStream(Written.Xml(SampleCertificates.Issued)), new MemoryStream(), other));
        Assert.Contains("P-256", refused.Message, StringComparison.Ordinal);
    }

    [SchemaFact]
    public void A_signed_certificate_is_still_valid_by_the_published_schemas() =>
        Assert.Empty(PublishedSchemas.Faults(new MemoryStream(Signed())));

    [ToolFact("xmlsec1")]
    public void Another_verifier_agrees()
    {
        string trusted = _signer.ExportCertificatePem();
        (int exitCode, string output) = Written.WithFile(Encoding.ASCII.GetBytes(trusted), pem =>
            Written.WithFile(Signed(), path => ExternalTool.Run("xmlsec1", "--verify", "--trusted-pem", pem, path)));

        Assert.True(exitCode == 0, output);
    }

    private byte[] Signed()
    {
        using MemoryStream signed = new();
        CertificateSignature.Sign(new MemoryStream(Written.Xml(SampleCertificates.Issued)), signed, _signer);
        return signed.ToArray();
    }

    private static X509Certificate2 SelfSigned(ECCurve curve)
    {
        using ECDsa key = ECDsa.Create(curve);
        CertificateRequest request = new("CN=Fernwärme Auental workshop", key, HashAlgorithmName.SHA256);
        return request.CreateSelfSigned(DateTimeOffset.UtcNow.AddDays(-1), DateTimeOffset.UtcNow.AddDays(1));
    }
}
