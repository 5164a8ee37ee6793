using System.Security.Cryptography;
using System.Text;
using Microsoft.Extensions.Logging;

namespace Barostep.Daemon.Access;

/// <summary>Knows the tokens of the moment and who has signed in with one. Any thread.</summary>
internal sealed class AccessKeeper(TokenFile file, TimeProvider time, ILogger log)
{
    private readonly Lock _gate = new();
    private IReadOnlyList<AccessToken> _tokens = [];
    private DateTime _readUtc;

    public Sessions Sessions { get; } = new(time);

    /// <summary>The token of that text; null where there is none.</summary>
    public AccessToken? Find(string text) => WithHash(AccessToken.HashOf(text));

    /// <summary>The token that a session was opened with; null where it is over, or its token was removed.</summary>
    public AccessToken? OfSession(string id) => Sessions.TokenOf(id) is { } hash ? WithHash(hash) : null;

    /// <summary>Whether a token that was shown before has not been taken back since.</summary>
    public bool StillHolds(AccessToken token) => WithHash(token.Sha256) is not null;

    private AccessToken? WithHash(string hash)
    {
        byte[] asked = Encoding.ASCII.GetBytes(hash);
        return Current().FirstOrDefault(one => CryptographicOperations.FixedTimeEquals(Encoding.ASCII.GetBytes(one.Sha256), asked));
    }

    /// <summary>Read anew when the file was: a token that was removed must not work for another moment.</summary>
    private IReadOnlyList<AccessToken> Current()
    {
        lock (_gate)
        {
            DateTime writtenUtc = file.WrittenUtc;
            if (writtenUtc == _readUtc)
                return _tokens;
            try
            {
                (_tokens, _readUtc) = (file.Read(), writtenUtc);
            }
            catch (RefusedException refused)
            {
                log.LogError("No token is taken: {Reason}", refused.Message);
                _tokens = [];
            }

            return _tokens;
        }
    }
}
