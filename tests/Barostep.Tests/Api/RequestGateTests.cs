using System.Net;
using System.Net.Http.Headers;
using System.Net.Sockets;
using System.Text;
using CsCheck;

namespace Barostep.Tests.Api;

/// <summary>What may reach the daemon: people and scripts at this machine, and no web page from elsewhere.</summary>
[Collection(OnServedBench.Name)]
public sealed class RequestGateTests(ServedBench served)
{
    [Theory]
    [InlineData("evil.example")]
    [InlineData("evil.example:80")]
    [InlineData("localhost.evil.example")]
    [InlineData("localhost:1")]
    [InlineData("0.0.0.0")]
    [InlineData("127.0.0.1.nip.example")]
    public async Task A_foreign_host_is_not_answered(string host)
    {
        using var request = new HttpRequestMessage(HttpMethod.Get, "/api/v1/benches") { Headers = { Host = host } };
        using HttpResponseMessage response = await served.Client.SendAsync(request);

        Assert.Equal(HttpStatusCode.MisdirectedRequest, response.StatusCode);
        Assert.DoesNotContain("ceiling", await response.Content.ReadAsStringAsync(), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("Origin", "http://evil.example")]
    [InlineData("Origin", "null")]
    [InlineData("Origin", "http://localhost:1")]
    [InlineData("Sec-Fetch-Site", "cross-site")]
    [InlineData("Sec-Fetch-Site", "same-site")]
    public async Task A_page_of_another_origin_may_not_even_vent(string header, string value)
    {
        using var request = new HttpRequestMessage(HttpMethod.Post, "/api/v1/benches/demo/vent");
        request.Headers.Add(header, value);
        using HttpResponseMessage response = await served.Client.SendAsync(request);

        Assert.Equal(HttpStatusCode.Forbidden, response.StatusCode);
    }

    [Fact]
    public async Task A_form_starts_nothing()
    {
        using var form = new FormUrlEncodedContent([new("device", "transmitter-16bar"), new("procedure", "quick"), new("who", "form")]);
        using HttpResponseMessage response = await served.Client.PostAsync("/api/v1/benches/demo/runs", form);

        Assert.Equal(HttpStatusCode.UnsupportedMediaType, response.StatusCode);
    }

    [Fact]
    public async Task Nothing_grants_another_origin_a_look()
    {
        using var request = new HttpRequestMessage(HttpMethod.Options, "/api/v1/benches");
        request.Headers.Add("Origin", "http://evil.example");
        request.Headers.Add("Access-Control-Request-Method", "GET");
        using HttpResponseMessage response = await served.Client.SendAsync(request);

        Assert.DoesNotContain(response.Headers, header => header.Key.StartsWith("Access-Control", StringComparison.OrdinalIgnoreCase));
    }

    [Theory]
    [InlineData("/")]
    [InlineData("/api/v1/benches")]
    [InlineData("/api/v1/nothing")]
    public async Task Every_answer_forbids_frames_foreign_scripts_and_guessing(string path)
    {
        using HttpResponseMessage response = await served.Client.GetAsync(path);

        string policy = Assert.Single(response.Headers.GetValues("Content-Security-Policy"));
        Assert.Contains("script-src 'self'", policy, StringComparison.Ordinal);
        Assert.Contains("frame-ancestors 'none'", policy, StringComparison.Ordinal);
        Assert.Equal(["nosniff"], response.Headers.GetValues("X-Content-Type-Options"));
    }

    [Theory]
    [InlineData("/api/v1/runs/..%2f..%2f..%2fetc%2fpasswd")]
    [InlineData("/api/v1/runs/%2e%2e/readings")]
    [InlineData("/api/v1/devices/..%2f..%2frecords.sqlite")]
    [InlineData("/api/v1/benches/..%2fdemo/trips")]
    [InlineData("/..%2f..%2fbarostep.dll")]
    [InlineData("/vendor/../../config/barostep.toml")]
    [InlineData("/vendor/MANIFEST.toml")]
    [InlineData("/config/barostep.toml")]
    public async Task No_name_leads_out_of_what_is_served(string path)
    {
        // A raw line: a client library would tidy the path before it sent it.
        string answer = await RawAsync($"GET {path} HTTP/1.1\r\nHost: localhost:{served.Page.Port}\r\nConnection: close\r\n\r\n");

        Assert.Matches("^HTTP/1.1 (400|404) ", answer);
    }

    [Fact]
    public async Task A_body_that_is_too_long_is_not_read()
    {
        using var body = new StringContent($"{{\"why\":\"{new string('x', 70_000)}\"}}", Encoding.UTF8, "application/json");
        using HttpResponseMessage response = await served.Client.PostAsync("/api/v1/benches/demo/acknowledge", body);

        Assert.Equal(HttpStatusCode.RequestEntityTooLarge, response.StatusCode);
    }

    [Fact]
    public void Whatever_a_body_holds_the_answer_is_a_plain_refusal()
    {
        string[] bodies =
        [
            .. from name in new[] { "device", "procedure", "who", "trip", "$ref" }
               from value in new[] { "null", "1e999", "[]", "{}", "\"\\u0000\"", "-1" }
               select $"{{\"{name}\":{value}}}",
        ];
        Gen<string> anything = Gen.Select(Gen.String, Gen.Int[0, bodies.Length - 1], Gen.Bool, (noise, i, formed) => formed ? bodies[i] : noise);
        string[] paths = ["runs", "stop", "acknowledge", "ceiling", "confirm"];

        Gen.Select(anything, Gen.Int[0, paths.Length - 1]).Sample(
            (body, path) =>
            {
                using var content = new StringContent(body, Encoding.UTF8, new MediaTypeHeaderValue("application/json"));
                using HttpResponseMessage response = served.Client.PostAsync($"/api/v1/benches/demo/{paths[path]}", content).GetAwaiter().GetResult();
                return (int)response.StatusCode is >= 400 and < 500;
            },
            iter: 300,
            threads: 1);
    }

    [Fact]
    public async Task Who_never_finishes_a_request_is_hung_up_on()
    {
        using var slow = new TcpClient();
        await slow.ConnectAsync(IPAddress.Loopback, served.Page.Port);
        NetworkStream stream = slow.GetStream();
        await stream.WriteAsync(Encoding.ASCII.GetBytes($"POST /api/v1/benches/demo/runs HTTP/1.1\r\nHost: localhost:{served.Page.Port}\r\nX-Slow: "));

        using var reader = new StreamReader(stream);
        string answer = await reader.ReadToEndAsync();

        Assert.StartsWith("HTTP/1.1 408", answer, StringComparison.Ordinal);
    }

    private async Task<string> RawAsync(string request)
    {
        using var client = new TcpClient();
        await client.ConnectAsync(IPAddress.Loopback, served.Page.Port);
        NetworkStream stream = client.GetStream();
        await stream.WriteAsync(Encoding.ASCII.GetBytes(request));
        using var reader = new StreamReader(stream);
        return await reader.ReadToEndAsync();
    }
}
