using System.Buffers.Text;
using System.Security.Cryptography;
using System.Text;

namespace Barostep.Daemon.Access;

/// <summary>A token as it is kept: the text itself is known to its owner only.</summary>
/// <param name="Name">Whose it is; goes into journals and records as who did something.</param>
/// <param name="Sha256">Of the text, in hexadecimal.</param>
internal sealed record AccessToken(string Name, AccessRole Role, DateTimeOffset AddedUtc, string Sha256)
{
    private const string Prefix = "bst_";
    private const int SecretBytes = 32;

    /// <summary>Draws a new token.</summary>
    /// <returns>Its text, told once, and what is kept of it.</returns>
    public static (string Text, AccessToken Kept) Draw(string name, AccessRole role, DateTimeOffset nowUtc)
    {
        string text = Prefix + Base64Url.EncodeToString(RandomNumberGenerator.GetBytes(SecretBytes));
        return (text, new AccessToken(name, role, nowUtc, HashOf(text)));
    }

    /// <summary>
    /// One pass of SHA-256: slow hashes make up for words that people choose and others guess. These are 256 random bits,
    /// and there is nothing to guess, however fast.
    /// </summary>
    public static string HashOf(string text) => Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(text)));
}
