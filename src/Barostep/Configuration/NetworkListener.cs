using System.Net;

namespace Barostep.Configuration;

/// <summary>Where the daemon listens beside the loopback address, from <c>[network]</c> in <c>barostep.toml</c>: with TLS, and to tokens only.</summary>
/// <param name="Address">The address of this machine to listen at; the unspecified address for all of them.</param>
/// <param name="Certificate">File of the certificate with its chain, PEM or PFX; a relative path counts from the configuration folder.</param>
/// <param name="Key">File of its private key, PEM; null where the certificate's file holds it.</param>
/// <param name="PasswordFile">File whose first line is the password of the key; null where it has none.</param>
/// <param name="Names">Names by which this machine is opened from elsewhere; no other is answered.</param>
public sealed record NetworkListener(
    IPAddress Address, int Port, string Certificate, string? Key, string? PasswordFile, IReadOnlyList<string> Names)
{
    /// <summary>What holds where the table names no port.</summary>
    public const int UsualPort = 8443;
}
