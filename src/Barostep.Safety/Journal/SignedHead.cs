using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using System.Text.Json;

namespace Barostep.Safety;

/// <summary>A head of a journal with a signature by a key that the journal's writer need not hold.</summary>
/// <remarks>
/// ECDSA over P-256 with SHA-256, DER form, so that public tools verify it. Signed are the ASCII bytes
/// <c>barostep-journal-head</c>, the number and the hash, each followed by a line feed.
/// </remarks>
/// <param name="Head">What is signed.</param>
/// <param name="Signature">DER signature in base64.</param>
public sealed record SignedHead(JournalHead Head, string Signature)
{
    /// <summary>Makes a key pair in PEM: the private half for the signer alone, the public half for anyone.</summary>
    public static (string PrivatePem, string PublicPem) CreateKey()
    {
        using ECDsa key = ECDsa.Create(ECCurve.NamedCurves.nistP256);
        return (key.ExportPkcs8PrivateKeyPem(), key.ExportSubjectPublicKeyInfoPem());
    }

    /// <summary>Signs a head.</summary>
    /// <exception cref="ArgumentException">The text holds no private key.</exception>
    public static SignedHead Sign(JournalHead head, string privatePem)
    {
        using ECDsa key = ECDsa.Create();
        key.ImportFromPem(privatePem);
        byte[] signature = key.SignData(SignedBytes(head), HashAlgorithmName.SHA256, DSASignatureFormat.Rfc3279DerSequence);
        return new SignedHead(head, Convert.ToBase64String(signature));
    }

    /// <summary>Whether the key's owner signed exactly this head.</summary>
    /// <exception cref="ArgumentException">The text holds no public key.</exception>
    public bool IsSignedBy(string publicPem)
    {
        using ECDsa key = ECDsa.Create();
        key.ImportFromPem(publicPem);
        byte[] signature = new byte[Signature.Length];
        return Convert.TryFromBase64String(Signature, signature, out int length)
            && key.VerifyData(SignedBytes(Head), signature.AsSpan(0, length), HashAlgorithmName.SHA256, DSASignatureFormat.Rfc3279DerSequence);
    }

    /// <summary>The bytes that are signed.</summary>
    public static byte[] SignedBytes(JournalHead head) =>
        Encoding.ASCII.GetBytes(string.Create(CultureInfo.InvariantCulture, $"barostep-journal-head\n{head.Sequence}\n{head.Hash}\n"));

    /// <summary>The text of the file beside the journal.</summary>
    public string ToJson() =>
        string.Create(CultureInfo.InvariantCulture, $"{{\"n\":{Head.Sequence},\"h\":\"{Head.Hash}\",\"signature\":\"{Signature}\"}}\n");

    /// <summary>Reads such a file; null where the text is none.</summary>
    public static SignedHead? TryParse(string json)
    {
        try
        {
            JsonElement root = JsonElement.Parse(json);
            string hash = root.GetProperty("h").GetString() ?? "";
            string signature = root.GetProperty("signature").GetString() ?? "";
            return new SignedHead(new JournalHead(root.GetProperty("n").GetInt64(), hash), signature);
        }
        catch (Exception problem) when (problem is JsonException or KeyNotFoundException or InvalidOperationException or FormatException)
        {
            return null;
        }
    }
}
