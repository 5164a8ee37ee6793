using System.Globalization;
using System.Net.Http.Headers;
using System.Security.Cryptography;
using System.Text;
using System.Text.Json;
using Barostep.Configuration;
using Barostep.Daemon.Api;
using Barostep.Unattended;

namespace Barostep.Daemon.Unattended;

/// <summary>
/// Posts a notice as JSON, signed so that who receives it knows that it came from here and is no copy of an old one:
/// <c>webhook-signature: v1,BASE64</c> is the HMAC-SHA256 of <c>webhook-id.webhook-timestamp.body</c>.
/// </summary>
/// <param name="settings">Where to.</param>
/// <param name="secret">The key, as it stands in its file.</param>
/// <param name="time">The clocks.</param>
internal sealed class WebhookChannel(WebhookSettings settings, string secret, TimeProvider time) : INoticeChannel, IDisposable
{
    // A redirect would send what is meant for one to another.
    private readonly HttpClient _client = new(new SocketsHttpHandler { AllowAutoRedirect = false, PooledConnectionLifetime = TimeSpan.FromMinutes(5) });
    private readonly byte[] _key = Encoding.UTF8.GetBytes(secret);

    public string Name => "webhook";

    public IReadOnlySet<NoticeKind> On => settings.On;

    public async Task SendAsync(KeptNotice notice, CancellationToken cancellation)
    {
        byte[] body = BodyOf(notice);
        string id = notice.Id.ToString(CultureInfo.InvariantCulture);
        string stamp = time.GetUtcNow().ToUnixTimeSeconds().ToString(CultureInfo.InvariantCulture);
        using var request = new HttpRequestMessage(HttpMethod.Post, settings.Url) { Content = new ByteArrayContent(body) };
        request.Content.Headers.ContentType = new MediaTypeHeaderValue("application/json");
        request.Headers.Add("webhook-id", id);
        request.Headers.Add("webhook-timestamp", stamp);
        request.Headers.Add("webhook-signature", $"v1,{Signature(_key, id, stamp, body)}");
        using HttpResponseMessage response = await _client.SendAsync(request, cancellation);
        if (!response.IsSuccessStatusCode)
            throw new HttpRequestException($"it answered {(int)response.StatusCode}");
    }

    public static string Signature(byte[] key, string id, string stamp, byte[] body)
    {
        byte[] signed = [.. Encoding.UTF8.GetBytes($"{id}.{stamp}."), .. body];
        return Convert.ToBase64String(HMACSHA256.HashData(key, signed));
    }

    public void Dispose() => _client.Dispose();

    private static byte[] BodyOf(KeptNotice kept) => JsonSerializer.SerializeToUtf8Bytes(
        new
        {
            kind = kept.Notice.Kind,
            atUtc = kept.Notice.AtUtc,
            title = kept.Notice.Title,
            text = kept.Notice.Text,
            bench = kept.Notice.Bench,
            run = kept.Notice.Run,
        },
        ApiJson.Options);
}
