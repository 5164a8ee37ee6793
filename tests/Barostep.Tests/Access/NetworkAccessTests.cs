using System.Net;
using System.Net.Http.Json;
using System.Net.Security;
using System.Net.Sockets;
using System.Runtime.Versioning;
using System.Text;
using System.Text.Json;
using Barostep.Daemon.Access;
using Barostep.Records;
using CsCheck;

namespace Barostep.Tests.Access;

/// <summary>What may reach the daemon from the network, over its real listener with TLS.</summary>
[Collection(OnNetworkHost.Name)]
[SupportedOSPlatform("linux")]
public sealed class NetworkAccessTests(NetworkHost host)
{
    private const string Bench = "/api/v1/benches/demo";

    [Theory]
    [InlineData("/api/v1/benches")]
    [InlineData(Bench + "/live")]
    [InlineData("/api/v1/runs")]
    [InlineData("/openapi/v1.json")]
    [InlineData("/metrics")]
    [InlineData("/health/ready")]
    public async Task Without_a_token_the_network_sees_nothing(string path)
    {
        using HttpClient nobody = host.Client();
        using HttpClient wrong = host.Client("bst_never-drawn");
        using HttpResponseMessage missing = await nobody.GetAsync(path);
        using HttpResponseMessage mistyped = await wrong.GetAsync(path);

        Assert.Equal(HttpStatusCode.Unauthorized, missing.StatusCode);
        Assert.Equal(HttpStatusCode.Unauthorized, mistyped.StatusCode);
        Assert.Equal("Bearer", missing.Headers.WwwAuthenticate.ToString());
    }

    [Fact]
    public async Task A_role_that_is_too_small_is_told_which_it_needs()
    {
        using HttpClient watcher = host.Client(host.TokenFor(AccessRole.Watch));
        using HttpClient operating = host.Client(host.TokenFor(AccessRole.Operate));
        using HttpResponseMessage look = await watcher.GetAsync("/api/v1/benches");
        using HttpResponseMessage start = await watcher.PostAsJsonAsync($"{Bench}/runs", new { device = "transmitter-16bar", procedure = "quick-look" });
        using HttpResponseMessage ceiling = await operating.PostAsJsonAsync($"{Bench}/ceiling", new { pressure = "9 bar gauge", why = "a hose" });

        Assert.Equal(HttpStatusCode.OK, look.StatusCode);
        Assert.Equal(HttpStatusCode.Forbidden, start.StatusCode);
        Assert.Contains("needs the role operate", await NetworkHost.DetailOf(start), StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.Forbidden, ceiling.StatusCode);
        Assert.Contains("needs the role limits", await NetworkHost.DetailOf(ceiling), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Who_may_is_heard_and_stopped_only_by_the_bench_itself()
    {
        using HttpClient operating = host.Client(host.TokenFor(AccessRole.Operate));
        using HttpClient limits = host.Client(host.TokenFor(AccessRole.Limits));
        using HttpResponseMessage start = await operating.PostAsJsonAsync($"{Bench}/runs", new { device = "transmitter-16bar", procedure = "quick-look" });
        using HttpResponseMessage ceiling = await limits.PostAsJsonAsync($"{Bench}/ceiling", new { pressure = "9 bar gauge", why = "a hose" });

        // Nobody said what bench they looked at.
        Assert.Equal(HttpStatusCode.PreconditionRequired, start.StatusCode);
        Assert.Equal(HttpStatusCode.PreconditionRequired, ceiling.StatusCode);
    }

    [Fact]
    public async Task Stopping_needs_no_token()
    {
        using HttpClient nobody = host.Client();
        using HttpResponseMessage vent = await nobody.PostAsync($"{Bench}/vent", null);
        using HttpResponseMessage stop = await nobody.PostAsJsonAsync($"{Bench}/stop", new { run = "01234567", who = "somebody" });

        // The bench of this test has no guard, and no run: both got as far as that.
        Assert.Equal(HttpStatusCode.ServiceUnavailable, vent.StatusCode);
        Assert.Equal(HttpStatusCode.Conflict, stop.StatusCode);
    }

    [Fact]
    public async Task However_often_it_is_asked_for_a_vent_is_not_counted_and_all_else_is()
    {
        using HttpClient hasty = host.Client(host.TokenFor(AccessRole.Watch));
        var looks = new List<HttpStatusCode>();
        for (int i = 0; i < 20 * RequestRates.Burst && !looks.Contains(HttpStatusCode.TooManyRequests); i++)
        {
            using HttpResponseMessage look = await hasty.GetAsync("/api/v1/session");
            looks.Add(look.StatusCode);
        }

        Assert.Contains(HttpStatusCode.TooManyRequests, looks);
        for (int i = 0; i < 2 * RequestRates.Burst; i++)
        {
            using HttpResponseMessage vent = await hasty.PostAsync($"{Bench}/vent", null);
            Assert.Equal(HttpStatusCode.ServiceUnavailable, vent.StatusCode);
        }

        // At the machine itself nothing is counted.
        using var script = new HttpClient { BaseAddress = host.Local };
        for (int i = 0; i < 2 * RequestRates.Burst; i++)
        {
            using HttpResponseMessage look = await script.GetAsync("/api/v1/session");
            Assert.Equal(HttpStatusCode.OK, look.StatusCode);
        }
    }

    [Fact]
    public async Task A_token_that_was_removed_is_worth_nothing_at_once()
    {
        string text = host.TokenFor(AccessRole.Operate, "Cleo Marsh");
        using HttpClient cleo = host.Client(text);
        using HttpResponseMessage before = await cleo.GetAsync("/api/v1/benches");
        using HttpClient browser = host.Client();
        using HttpResponseMessage signedIn = await browser.PostAsJsonAsync("/api/v1/session", new { token = text });
        host.Tokens.Remove("Cleo Marsh");
        using HttpResponseMessage after = await cleo.GetAsync("/api/v1/benches");
        using HttpResponseMessage session = await browser.GetAsync("/api/v1/benches");

        Assert.Equal(HttpStatusCode.OK, before.StatusCode);
        Assert.Equal(HttpStatusCode.OK, signedIn.StatusCode);
        Assert.Equal(HttpStatusCode.Unauthorized, after.StatusCode);
        Assert.Equal(HttpStatusCode.Unauthorized, session.StatusCode);
    }

    [Fact]
    public async Task A_live_stream_ends_when_its_token_is_taken_back()
    {
        using HttpClient edda = host.Client(host.TokenFor(AccessRole.Watch, "Edda Rowan"));
        await using Stream stream = await edda.GetStreamAsync($"{Bench}/live");
        using var lines = new StreamReader(stream);
        Assert.Equal("event: live", await lines.ReadLineAsync());

        host.Tokens.Remove("Edda Rowan");
        using var patience = new CancellationTokenSource(TimeSpan.FromSeconds(60));
        while (await lines.ReadLineAsync(patience.Token) is not null)
        {
            // Frames that were made before the token was taken back.
        }

        using HttpResponseMessage again = await edda.GetAsync($"{Bench}/live");
        Assert.Equal(HttpStatusCode.Unauthorized, again.StatusCode);
    }

    [Fact]
    public async Task A_browser_signs_in_with_a_cookie_that_scripts_and_other_sites_do_not_get()
    {
        string text = host.TokenFor(AccessRole.Operate, "Dora Finch");
        using HttpClient browser = host.Client();
        using HttpResponseMessage wrong = await browser.PostAsJsonAsync("/api/v1/session", new { token = text + "x" });
        using HttpResponseMessage signedIn = await browser.PostAsJsonAsync("/api/v1/session", new { token = text });
        using HttpResponseMessage look = await browser.GetAsync("/api/v1/session");
        using HttpResponseMessage signedOut = await browser.DeleteAsync("/api/v1/session");
        using HttpResponseMessage afterwards = await browser.GetAsync("/api/v1/benches");

        Assert.Equal(HttpStatusCode.Unauthorized, wrong.StatusCode);
        string cookie = Assert.Single(signedIn.Headers.GetValues("Set-Cookie"));
        Assert.StartsWith("__Host-barostep=", cookie, StringComparison.Ordinal);
        Assert.All(["httponly", "secure", "samesite=strict", "path=/"], part => Assert.Contains(part, cookie, StringComparison.OrdinalIgnoreCase));
        Assert.DoesNotContain(text, cookie, StringComparison.Ordinal);
        Assert.Equal("Dora Finch", (await look.Content.ReadFromJsonAsync<JsonElement>()).GetProperty("name").GetString());
        Assert.Equal(HttpStatusCode.NoContent, signedOut.StatusCode);
        Assert.Equal(HttpStatusCode.Unauthorized, afterwards.StatusCode);
    }

    [Fact]
    public async Task A_cookie_of_a_signed_in_browser_does_not_help_a_foreign_page()
    {
        using HttpClient browser = host.Client();
        using HttpResponseMessage signedIn = await browser.PostAsJsonAsync("/api/v1/session", new { token = host.TokenFor(AccessRole.Limits) });
        using var request = new HttpRequestMessage(HttpMethod.Post, $"{Bench}/runs") { Content = JsonContent.Create(new { device = "a", procedure = "b" }) };
        request.Headers.Add("Origin", "https://evil.example");
        using HttpResponseMessage foreign = await browser.SendAsync(request);
        using var form = new FormUrlEncodedContent([new("device", "transmitter-16bar"), new("procedure", "quick-look")]);
        using HttpResponseMessage posted = await browser.PostAsync($"{Bench}/runs", form);

        Assert.Equal(HttpStatusCode.OK, signedIn.StatusCode);
        Assert.Equal(HttpStatusCode.Forbidden, foreign.StatusCode);
        Assert.Equal(HttpStatusCode.UnsupportedMediaType, posted.StatusCode);
    }

    [Theory]
    [InlineData("evil.example")]
    [InlineData("localhost")]
    [InlineData("bench-pc.example.evil.example")]
    [InlineData("192.0.2.77")]
    public async Task A_name_that_the_machine_was_not_given_is_not_answered(string name)
    {
        using HttpClient client = host.Client(host.TokenFor(AccessRole.Watch));
        using var request = new HttpRequestMessage(HttpMethod.Get, "/api/v1/benches") { Headers = { Host = $"{name}:{host.Network.Port}" } };
        using HttpResponseMessage response = await client.SendAsync(request);

        Assert.Equal(HttpStatusCode.MisdirectedRequest, response.StatusCode);
    }

    [Theory]
    [InlineData("/api/v1/runs/..%2f..%2f..%2fetc%2fpasswd")]
    [InlineData("/api/v1/runs/%2e%2e/readings")]
    [InlineData("/api/v1/devices/..%2ftokens.json")]
    [InlineData("/api/v1/benches/..%2fdemo/trips")]
    [InlineData("/tokens.json")]
    [InlineData("/..%2ftokens.json")]
    public async Task No_name_leads_out_of_what_is_served(string path)
    {
        string token = host.TokenFor(AccessRole.Watch);
        string answer = await RawAsync($"GET {path} HTTP/1.1\r\nHost: {NetworkHost.Name}:{host.Network.Port}\r\nAuthorization: Bearer {token}\r\nConnection: close\r\n\r\n");

        Assert.Matches("^HTTP/1.1 (400|404) ", answer);
    }

    [Fact]
    public async Task What_is_too_long_is_not_read()
    {
        using HttpClient client = host.Client(host.TokenFor(AccessRole.Limits));
        using var body = new StringContent($"{{\"why\":\"{new string('x', 70_000)}\"}}", Encoding.UTF8, "application/json");
        using HttpResponseMessage response = await client.PostAsync($"{Bench}/acknowledge", body);
        using HttpResponseMessage token = await host.Client(new string('t', 5_000)).GetAsync("/api/v1/benches");

        Assert.Equal(HttpStatusCode.RequestEntityTooLarge, response.StatusCode);
        Assert.Equal(HttpStatusCode.Unauthorized, token.StatusCode);
    }

    [Fact]
    public async Task Whatever_a_body_holds_the_answer_is_a_plain_refusal()
    {
        string token = host.TokenFor(AccessRole.Limits);
        using HttpClient client = host.Client(token);
        string[] paths = [$"{Bench}/runs", $"{Bench}/ceiling", "/api/v1/session", $"{Bench}/acknowledge"];
        var statuses = new List<int>();

        Gen.Select(Gen.String, Gen.Int[0, paths.Length - 1], Gen.Bool).Sample(
            (noise, path, formed) =>
            {
                using var content = new StringContent(formed ? JsonSerializer.Serialize(new { token = noise, trip = noise, device = noise }) : noise, Encoding.UTF8, "application/json");
                using HttpResponseMessage response = client.PostAsync(paths[path], content).GetAwaiter().GetResult();
                statuses.Add((int)response.StatusCode);
                return statuses[^1] is >= 400 and < 500;
            },
            iter: 100,
            threads: 1,
            seed: "0000KOIKe1w1");

        Assert.Contains(400, statuses);
    }

    [Fact]
    public async Task Who_never_finishes_a_request_or_a_handshake_is_hung_up_on()
    {
        using var silent = new TcpClient();
        await silent.ConnectAsync(IPAddress.Loopback, host.Network.Port);
        Task<int> ended = silent.GetStream().ReadAsync(new byte[1]).AsTask();
        string answer = await RawAsync($"POST {Bench}/runs HTTP/1.1\r\nHost: {NetworkHost.Name}\r\nX-Slow: ");

        Assert.StartsWith("HTTP/1.1 408", answer, StringComparison.Ordinal);
        Assert.Equal(0, await ended.WaitAsync(TimeSpan.FromSeconds(60)));
    }

    [Fact]
    public async Task Plain_http_at_the_network_door_says_nothing()
    {
        using var plain = new HttpClient();

        await Assert.ThrowsAnyAsync<HttpRequestException>(() => plain.GetAsync(new Uri($"http://127.0.0.1:{host.Network.Port}/api/v1/benches")));
    }

    [Fact]
    public async Task Who_asked_is_written_down_by_the_name_of_their_token()
    {
        using HttpClient ines = host.Client(host.TokenFor(AccessRole.Limits, "Ines of the night"));
        using HttpResponseMessage asked = await ines.PostAsJsonAsync($"{Bench}/stop", new { run = "aaaa0001", who = "somebody else" });
        using HttpClient nobody = host.Client();
        using HttpResponseMessage refused = await nobody.PostAsJsonAsync($"{Bench}/stop", new { run = "aaaa0002", who = "a stranger" });
        using HttpResponseMessage vented = await nobody.PostAsync($"{Bench}/vent", null);
        using var script = new HttpClient { BaseAddress = host.Local };
        using HttpResponseMessage local = await script.PostAsJsonAsync($"{Bench}/stop", new { run = "aaaa0001", who = "Bo Lind" });
        using HttpResponseMessage nameless = await script.PostAsJsonAsync($"{Bench}/stop", new { run = "aaaa0001" });

        IReadOnlyList<ActionRecord> actions = await host.ActionsUntilAsync(all => all.Any(one => one.Who == "Bo Lind"));
        Assert.Contains(actions, one => one is { Who: "Ines of the night", Proved: true, Asked: $"POST {Bench}/stop", Status: 409 });
        Assert.Contains(actions, one => one is { Who: "Bo Lind", Proved: false, Address: "127.0.0.1" });
        Assert.DoesNotContain(actions, one => one.Who is "somebody else" or "a stranger");
        Assert.Contains(actions, one => one is { Proved: false, Asked: $"POST {Bench}/vent", Status: 503 });
        Assert.Equal(HttpStatusCode.BadRequest, nameless.StatusCode);
    }

    [Fact]
    public async Task At_this_machine_no_token_is_needed_but_a_wrong_one_is_refused()
    {
        using var script = new HttpClient { BaseAddress = host.Local };
        using HttpResponseMessage without = await script.GetAsync("/api/v1/benches");
        script.DefaultRequestHeaders.Add("Authorization", "Bearer bst_removed");
        using HttpResponseMessage wrong = await script.GetAsync("/api/v1/benches");

        Assert.Equal(HttpStatusCode.OK, without.StatusCode);
        Assert.Equal(HttpStatusCode.Unauthorized, wrong.StatusCode);
    }

    private async Task<string> RawAsync(string request)
    {
        using var client = new TcpClient();
        await client.ConnectAsync(IPAddress.Loopback, host.Network.Port);
        await using var stream = new SslStream(client.GetStream(), leaveInnerStreamOpen: false, (_, shown, _, _) => host.IsItsOwn(shown));
        await stream.AuthenticateAsClientAsync(NetworkHost.Name);
        await stream.WriteAsync(Encoding.ASCII.GetBytes(request));
        using var reader = new StreamReader(stream);
        return await reader.ReadToEndAsync();
    }
}
