using System.Net;
using System.Net.Sockets;
using System.Text;
using System.Text.Json;
using Barostep.Configuration;
using Barostep.Daemon.Unattended;
using Barostep.Records;
using Barostep.Unattended;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Hosting.Server;
using Microsoft.AspNetCore.Hosting.Server.Features;
using Microsoft.AspNetCore.Http;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging.Abstractions;

namespace Barostep.Tests.Unattended;

/// <summary>What people and programs are told, through real sockets of this machine.</summary>
public sealed class OutboxTests : IDisposable
{
    private const string Secret = "a secret of this test";
    private static readonly IReadOnlySet<NoticeKind> All = new HashSet<NoticeKind>(Enum.GetValues<NoticeKind>());

    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("barostep-outbox-");
    private readonly RunStore _store;

    public OutboxTests() => _store = RunStore.Open(Path.Combine(_folder.FullName, "records.sqlite"));

    public void Dispose()
    {
        _store.Dispose();
        _folder.Delete(recursive: true);
    }

    [Fact]
    public async Task A_webhook_carries_a_signature_that_its_receiver_can_check()
    {
        await using var receiver = await Receiver.StartAsync(static _ => 204);
        using var channel = new WebhookChannel(new WebhookSettings(receiver.Address, "secret", All), Secret, TimeProvider.System);
        KeptNotice kept = Tell(NoticeKind.Tripped, "demo: tripped, OverCeiling");

        Assert.True(await Sender(channel).SendAsync(CancellationToken.None));

        Received got = Assert.Single(receiver.Requests);
        Assert.Equal(kept.Id.ToString(System.Globalization.CultureInfo.InvariantCulture), got.Headers["webhook-id"]);
        Assert.Equal($"v1,{WebhookChannel.Signature(Encoding.UTF8.GetBytes(Secret), got.Headers["webhook-id"]!, got.Headers["webhook-timestamp"]!, got.Body)}", got.Headers["webhook-signature"]);
        JsonElement body = JsonSerializer.Deserialize<JsonElement>(got.Body);
        Assert.Equal(("tripped", "demo: tripped, OverCeiling"), (body.GetProperty("kind").GetString(), body.GetProperty("title").GetString()));
        Assert.True(await Sender(channel).SendAsync(CancellationToken.None));
        Assert.Single(receiver.Requests);
    }

    [Fact]
    public void The_signature_is_what_others_compute()
    {
        // By OpenSSL: printf '1.2.what do ya want for nothing?' | openssl dgst -sha256 -hmac Jefe -binary | base64.
        string signature = WebhookChannel.Signature("Jefe"u8.ToArray(), "1", "2", "what do ya want for nothing?"u8.ToArray());

        Assert.Equal("72DFW/yUVVUM/9tDWPOiRDY0DSH0wsWSMn1k3xlZG24=", signature);
    }

    [Fact]
    public async Task What_is_not_taken_is_tried_again_later_and_by_the_next_daemon_too()
    {
        int answered = 0;
        await using var receiver = await Receiver.StartAsync(_ => Interlocked.Increment(ref answered) <= 3 ? 503 : 200);
        using var channel = new WebhookChannel(new WebhookSettings(receiver.Address, "secret", All), Secret, TimeProvider.System);
        KeptNotice kept = Tell(NoticeKind.Failed, "demo: failed");

        Assert.False(await Sender(channel).SendAsync(CancellationToken.None));
        Assert.True(await Sender(channel).SendAsync(CancellationToken.None));

        Assert.Equal(
            [DeliveryOutcome.Failed, DeliveryOutcome.Delivered],
            _store.Notices.TriesOf(kept.Id).Select(one => one.Outcome));
        Assert.Equal("it answered 503", _store.Notices.TriesOf(kept.Id)[0].Note);
        Assert.Equal(4, receiver.Requests.Count);
        Assert.Single(receiver.Requests.Select(one => one.Headers["webhook-id"]).Distinct());
    }

    [Fact]
    public async Task Only_what_was_asked_for_is_told_and_yesterdays_news_is_given_up()
    {
        await using var receiver = await Receiver.StartAsync(static _ => 200);
        using var channel = new WebhookChannel(
            new WebhookSettings(receiver.Address, "secret", new HashSet<NoticeKind> { NoticeKind.Failed }), Secret, TimeProvider.System);
        Tell(NoticeKind.Done, "demo: passed");
        KeptNotice old = _store.Notices.Add(new Notice(NoticeKind.Failed, TimeProvider.System.GetUtcNow().AddHours(-30), "demo: failed", "long ago"));

        Assert.True(await Sender(channel).SendAsync(CancellationToken.None));

        Assert.Empty(receiver.Requests);
        Assert.Equal(DeliveryOutcome.GivenUp, Assert.Single(_store.Notices.TriesOf(old.Id)).Outcome);
    }

    [Fact]
    public async Task A_mail_reaches_everybody_named_with_the_title_as_its_subject()
    {
        using var server = new MailSink();
        var channel = new MailChannel(
            new MailSettings("127.0.0.1", server.Port, MailSecurity.None, null, null, "bench-pc@example.org", ["night@example.org", "workshop@example.org"], All), password: null);
        Tell(NoticeKind.Waiting, "demo: the run waits for a person");

        Assert.True(await Sender(channel).SendAsync(CancellationToken.None));

        string session = await server.Session;
        Assert.Contains("RCPT TO:<night@example.org>", session, StringComparison.Ordinal);
        Assert.Contains("RCPT TO:<workshop@example.org>", session, StringComparison.Ordinal);
        Assert.Contains("Subject: [Barostep] demo: the run waits for a person", session, StringComparison.Ordinal);
        Assert.Contains("all of it", session, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Where_encryption_is_wanted_and_not_offered_nothing_is_sent()
    {
        using var server = new MailSink();
        var channel = new MailChannel(
            new MailSettings("127.0.0.1", server.Port, MailSecurity.StartTls, null, null, "bench-pc@example.org", ["night@example.org"], All), password: null);
        KeptNotice kept = Tell(NoticeKind.Waiting, "demo: the run waits for a person");

        await Assert.ThrowsAnyAsync<Exception>(() => channel.SendAsync(kept, CancellationToken.None));

        Assert.DoesNotContain("MAIL FROM", await server.Session, StringComparison.Ordinal);
    }

    private KeptNotice Tell(NoticeKind kind, string title) => _store.Notices.Add(new Notice(kind, TimeProvider.System.GetUtcNow(), title, "all of it", "demo"));

    private NoticeSender Sender(INoticeChannel channel) => new(channel, _store, TimeProvider.System, NullLogger<NoticeSender>.Instance);

    private sealed record Received(IReadOnlyDictionary<string, string?> Headers, byte[] Body);

    /// <summary>A program elsewhere that takes webhooks, and answers as a test says.</summary>
    private sealed class Receiver(WebApplication app, List<Received> requests) : IAsyncDisposable
    {
        public List<Received> Requests => requests;

        public Uri Address => new(app.Services.GetRequiredService<IServer>().Features.Get<IServerAddressesFeature>()!.Addresses.First());

        public static async Task<Receiver> StartAsync(Func<Received, int> answer)
        {
            WebApplicationBuilder builder = WebApplication.CreateEmptyBuilder(new WebApplicationOptions());
            builder.WebHost.UseKestrelCore().ConfigureKestrel(kestrel => kestrel.Listen(IPAddress.Loopback, 0));
            WebApplication app = builder.Build();
            var requests = new List<Received>();
            app.Run(async http =>
            {
                using var body = new MemoryStream();
                await http.Request.Body.CopyToAsync(body);
                var received = new Received(http.Request.Headers.ToDictionary(one => one.Key.ToLowerInvariant(), one => (string?)one.Value.ToString()), body.ToArray());
                requests.Add(received);
                http.Response.StatusCode = answer(received);
            });
            await app.StartAsync();
            return new Receiver(app, requests);
        }

        public async ValueTask DisposeAsync()
        {
            await app.StopAsync();
            await app.DisposeAsync();
        }
    }

    /// <summary>As much of a mail server as one mail needs: RFC 5321 without extensions.</summary>
    private sealed class MailSink : IDisposable
    {
        private readonly TcpListener _listener = new(IPAddress.Loopback, 0);

        public MailSink()
        {
            _listener.Start();
            Session = Task.Run(ServeAsync);
        }

        public int Port => ((IPEndPoint)_listener.LocalEndpoint).Port;

        /// <summary>Everything that the first client said.</summary>
        public Task<string> Session { get; }

        public void Dispose() => _listener.Dispose();

        private async Task<string> ServeAsync()
        {
            using TcpClient client = await _listener.AcceptTcpClientAsync();
            using var reader = new StreamReader(client.GetStream());
            await using var writer = new StreamWriter(client.GetStream()) { AutoFlush = true, NewLine = "\r\n" };
            await writer.WriteLineAsync("220 sink.example");
            var said = new StringBuilder();
            bool inMessage = false;
            while (await reader.ReadLineAsync() is { } line)
            {
                said.AppendLine(line);
                if (inMessage && line != ".")
                    continue;
                inMessage = line == "DATA";
                await writer.WriteLineAsync(line switch { "DATA" => "354 go on", "QUIT" => "221 bye", _ => "250 ok" });
                if (line == "QUIT")
                    break;
            }

            return said.ToString();
        }
    }
}
