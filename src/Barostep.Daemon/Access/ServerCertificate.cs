using System.Net.Security;
using System.Security.Authentication;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using Barostep.Configuration;

namespace Barostep.Daemon.Access;

/// <summary>The certificate that the daemon shows to the network, read again when its file was renewed. Any thread.</summary>
internal sealed class ServerCertificate
{
    private static readonly TimeSpan LookEvery = TimeSpan.FromMinutes(1);

    private readonly NetworkListener _listener;
    private readonly string _folder;
    private readonly TimeProvider _time;
    private readonly Lock _gate = new();
    private SslStreamCertificateContext _context;
    private DateTime _writtenUtc;
    private long _lookedAt;

    /// <param name="listener">Names the files.</param>
    /// <param name="folder">Configuration folder.</param>
    /// <param name="time">The clocks.</param>
    /// <exception cref="RefusedException">It cannot be used; the message says why.</exception>
    public ServerCertificate(NetworkListener listener, string folder, TimeProvider time)
    {
        (_listener, _folder, _time) = (listener, folder, time);
        _writtenUtc = File.GetLastWriteTimeUtc(PathOf(listener.Certificate));
        _context = Load();
        _lookedAt = time.GetTimestamp();
    }

    public SslServerAuthenticationOptions Options => new()
    {
        ServerCertificateContext = Current(),
        EnabledSslProtocols = SslProtocols.Tls12 | SslProtocols.Tls13,
        ClientCertificateRequired = false,
    };

    private SslStreamCertificateContext Current()
    {
        lock (_gate)
        {
            if (_time.GetElapsedTime(_lookedAt) < LookEvery)
                return _context;
            _lookedAt = _time.GetTimestamp();
            DateTime writtenUtc = File.GetLastWriteTimeUtc(PathOf(_listener.Certificate));
            if (writtenUtc == _writtenUtc)
                return _context;
            try
            {
                _context = Load();
                _writtenUtc = writtenUtc;
            }
            catch (RefusedException)
            {
                // Half written, or the key is not there yet: the old one holds until it fits.
            }

            return _context;
        }
    }

    private SslStreamCertificateContext Load()
    {
        string path = PathOf(_listener.Certificate);
        SecretFile.DemandPrivate(PathOf(_listener.Key ?? _listener.Certificate));
        string? password = _listener.PasswordFile is { } file ? SecretFile.Read(PathOf(file)) : null;
        try
        {
            X509Certificate2Collection chain = [];
            X509Certificate2 own = IsPem(path) ? FromPem(path, password, chain) : FromPfx(path, password, chain);
            if (own.NotAfter.ToUniversalTime() <= _time.GetUtcNow().UtcDateTime)
                throw new RefusedException($"the certificate {path} has been out of date since {own.NotAfter.ToUniversalTime():yyyy-MM-dd}; renew it");
            return SslStreamCertificateContext.Create(own, chain, offline: true);
        }
        catch (Exception error) when (error is CryptographicException or IOException or UnauthorizedAccessException)
        {
            throw new RefusedException($"the certificate {path} cannot be used: {error.Message} [network] in barostep.toml wants a PEM file with its key, or a PFX file.");
        }
    }

    private X509Certificate2 FromPem(string path, string? password, X509Certificate2Collection chain)
    {
        string key = PathOf(_listener.Key ?? _listener.Certificate);
        X509Certificate2 own = password is null
            ? X509Certificate2.CreateFromPemFile(path, key)
            : X509Certificate2.CreateFromEncryptedPemFile(path, password, key);
        chain.ImportFromPemFile(path);
        return own;
    }

    private static X509Certificate2 FromPfx(string path, string? password, X509Certificate2Collection chain)
    {
        chain.AddRange(X509CertificateLoader.LoadPkcs12CollectionFromFile(path, password));
        return chain.FirstOrDefault(one => one.HasPrivateKey) ?? throw new CryptographicException("it holds no private key.");
    }

    private static bool IsPem(string path) => Path.GetExtension(path).ToLowerInvariant() is not (".pfx" or ".p12");

    private string PathOf(string written) => SecretFile.PathOf(_folder, written);
}
