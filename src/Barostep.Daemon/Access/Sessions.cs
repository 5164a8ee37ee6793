using System.Buffers.Text;
using System.Security.Cryptography;

namespace Barostep.Daemon.Access;

/// <summary>Browsers that have signed in with a token. Kept in memory: after a restart everybody signs in anew. Any thread.</summary>
internal sealed class Sessions(TimeProvider time)
{
    /// <summary>A long shift.</summary>
    public static readonly TimeSpan Longest = TimeSpan.FromHours(14);

    /// <summary>More than any workshop has browsers; the oldest gives way.</summary>
    private const int Most = 256;

    private readonly Lock _gate = new();
    private readonly Dictionary<string, Session> _open = [];

    /// <summary>Opens a session.</summary>
    /// <returns>What the browser's cookie holds.</returns>
    public string Open(AccessToken token)
    {
        string id = Base64Url.EncodeToString(RandomNumberGenerator.GetBytes(32));
        lock (_gate)
        {
            foreach (string old in _open.Where(one => time.GetElapsedTime(one.Value.OpenedAt) >= Longest).Select(one => one.Key).ToList())
                _open.Remove(old);
            if (_open.Count >= Most)
                _open.Remove(_open.MinBy(one => one.Value.OpenedAt).Key);
            _open[id] = new Session(token.Sha256, time.GetTimestamp());
        }

        return id;
    }

    /// <summary>Hash of the token that a session was opened with; null where there is no such session.</summary>
    public string? TokenOf(string id)
    {
        lock (_gate)
            return _open.TryGetValue(id, out Session? session) && time.GetElapsedTime(session.OpenedAt) < Longest ? session.Token : null;
    }

    public void Close(string id)
    {
        lock (_gate)
            _open.Remove(id);
    }

    private sealed record Session(string Token, long OpenedAt);
}
