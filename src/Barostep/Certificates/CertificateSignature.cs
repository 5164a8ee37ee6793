using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using System.Security.Cryptography.Xml;
using System.Xml;

namespace Barostep.Certificates;

/// <summary>An enveloped signature (W3C XML-DSig) over certificate.xml: ECDSA on P-256 with SHA-256, exclusive canonical form.</summary>
public static class CertificateSignature
{
    private const string EcdsaSha256 = "http://www.w3.org/2001/04/xmldsig-more#ecdsa-sha256";

    // The framework knows the key but not how XML names the algorithm.
    static CertificateSignature() => CryptoConfig.AddAlgorithm(typeof(EcdsaSha256Description), EcdsaSha256);

    /// <summary>Reads a certificate, signs it and writes it with its signature; the signer's certificate goes with it.</summary>
    /// <exception cref="ArgumentException">The signer's certificate carries no private key on P-256.</exception>
    public static void Sign(Stream unsigned, Stream signed, X509Certificate2 signer)
    {
        using ECDsa key = signer.GetECDsaPrivateKey() is { KeySize: 256 } p256
            ? p256
            : throw new ArgumentException($"the signer's certificate \"{signer.Subject}\" has no private key on the curve P-256; give one that has", nameof(signer));
        XmlDocument document = Load(unsigned);
        SignedXml signature = new(document) { SigningKey = key };
        signature.SignedInfo!.CanonicalizationMethod = SignedXml.XmlDsigExcC14NTransformUrl;
        signature.SignedInfo.SignatureMethod = EcdsaSha256;
        Reference whole = new(string.Empty) { DigestMethod = SignedXml.XmlDsigSHA256Url };
        whole.AddTransform(new XmlDsigEnvelopedSignatureTransform());
        whole.AddTransform(new XmlDsigExcC14NTransform());
        signature.AddReference(whole);
        signature.KeyInfo = new KeyInfo();
        signature.KeyInfo.AddClause(new KeyInfoX509Data(signer));
        signature.ComputeSignature();
        document.DocumentElement!.AppendChild(document.ImportNode(signature.GetXml(), deep: true));
        document.Save(signed);
    }

    /// <summary>Whether the one signature covers the whole document and was made with the certificate that it carries.</summary>
    /// <param name="signer">Who signed; whether to trust that certificate is for the caller to decide. Null where nobody did.</param>
    public static bool Verify(Stream signed, out X509Certificate2? signer)
    {
        signer = null;
        XmlDocument document = Load(signed);
        if (document.GetElementsByTagName("Signature", SignedXml.XmlDsigNamespaceUrl) is not { Count: 1 } found)
            return false;
        SignedXml signature = new(document);
        signature.LoadXml((XmlElement)found[0]!);
        if (!CoversTheWhole(signature) || CertificateIn(signature) is not { } certificate)
            return false;
        using ECDsa? key = certificate.GetECDsaPublicKey();
        if (key is null || !signature.CheckSignature(key))
            return false;
        signer = certificate;
        return true;
    }

    // A signature over a part could be moved beside other contents and would still be right.
    private static bool CoversTheWhole(SignedXml signature) =>
        signature.SignedInfo!.References is { Count: 1 } references
        && references[0] is Reference { Uri: "", TransformChain.Count: 2 } whole
        && whole.TransformChain[0] is XmlDsigEnvelopedSignatureTransform
        && whole.TransformChain[1] is XmlDsigExcC14NTransform;

    private static X509Certificate2? CertificateIn(SignedXml signature) =>
        signature.KeyInfo.OfType<KeyInfoX509Data>().SelectMany(data => data.Certificates?.OfType<X509Certificate2>() ?? []).FirstOrDefault();

    // White space is part of what is signed: without keeping it the digest would break on the way.
    private static XmlDocument Load(Stream stream)
    {
        XmlDocument document = new() { PreserveWhitespace = true, XmlResolver = null };
        using XmlReader reader = XmlReader.Create(stream, new XmlReaderSettings { DtdProcessing = DtdProcessing.Prohibit, XmlResolver = null });
        document.Load(reader);
        return document;
    }
}
