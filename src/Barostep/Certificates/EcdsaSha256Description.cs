using System.Security.Cryptography;

namespace Barostep.Certificates;

/// <summary>ECDSA with SHA-256 for XML signatures (RFC 6931, 2.3.6); r and s stand one after the other.</summary>
/// <remarks>The framework creates it by name, so it is public with an empty constructor.</remarks>
public sealed class EcdsaSha256Description : SignatureDescription
{
    public EcdsaSha256Description()
    {
        KeyAlgorithm = typeof(ECDsa).AssemblyQualifiedName;
        DigestAlgorithm = "SHA256";
    }

    public override HashAlgorithm CreateDigest() => SHA256.Create();

    public override AsymmetricSignatureFormatter CreateFormatter(AsymmetricAlgorithm key) => new Formatter((ECDsa)key);

    public override AsymmetricSignatureDeformatter CreateDeformatter(AsymmetricAlgorithm key) => new Deformatter((ECDsa)key);

    private sealed class Formatter(ECDsa key) : AsymmetricSignatureFormatter
    {
        private ECDsa _key = key;

        public override byte[] CreateSignature(byte[] rgbHash) => _key.SignHash(rgbHash);

        public override void SetKey(AsymmetricAlgorithm key) => _key = (ECDsa)key;

        public override void SetHashAlgorithm(string strName)
        {
        }
    }

    private sealed class Deformatter(ECDsa key) : AsymmetricSignatureDeformatter
    {
        private ECDsa _key = key;

        public override bool VerifySignature(byte[] rgbHash, byte[] rgbSignature) => _key.VerifyHash(rgbHash, rgbSignature);

        public override void SetKey(AsymmetricAlgorithm key) => _key = (ECDsa)key;

        public override void SetHashAlgorithm(string strName)
        {
        }
    }
}
