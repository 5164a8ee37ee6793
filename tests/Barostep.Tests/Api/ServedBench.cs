using System.Net.Http.Headers;
using System.Net.Http.Json;
using System.Text.Json;
using System.Text.RegularExpressions;

namespace Barostep.Tests.Api;

/// <summary>The real daemon on the simulated bench, started once for all tests that talk to it over HTTP.</summary>
public sealed partial class ServedBench : IAsyncLifetime, IDisposable
{
    private readonly Workshop _workshop = new();
    private RunningBench? _bench;
    private ChildProgram? _daemon;

    /// <summary>Speaks to the daemon as a script on the same machine would.</summary>
    public HttpClient Client { get; } = new();

    public Uri Page => Client.BaseAddress!;

    internal ChildProgram Daemon => _daemon!;

    internal Workshop Workshop => _workshop;

    public async Task InitializeAsync()
    {
        await File.WriteAllTextAsync(
            Path.Combine(_workshop.Config, "procedures", "asked.toml"), $"confirmation = \"Hose restrained?\"\n{Workshop.Quick}");
        _bench = await RunningBench.StartAsync(_workshop.In("bench"));
        _daemon = ChildProgram.Start(
            Programs.Daemon, _workshop.Folder, "serve", "--port", "0", "--config", _workshop.Config, "--ports", _bench.AllPorts);
        await _daemon.UntilAsync(() => Address().IsMatch(_daemon.Error));
        Client.BaseAddress = new Uri(Address().Match(_daemon.Error).Groups[1].Value);
        await UntilAsync(bench => bench.GetProperty("guard").ValueKind == JsonValueKind.Object && Phase(bench) == "safe");
    }

    public async Task DisposeAsync()
    {
        _daemon!.Signal(ChildProgram.Terminate);
        Finished ended = await _daemon.EndAsync();
        Assert.Equal(0, ended.ExitCode);
        Assert.Contains("vent confirmed", ended.Error, StringComparison.Ordinal);
    }

    public void Dispose()
    {
        _daemon?.Dispose();
        _bench?.Dispose();
        _workshop.Dispose();
        Client.Dispose();
    }

    public async Task<JsonElement> GetAsync(string path)
    {
        using HttpResponseMessage response = await Client.GetAsync(path);
        Assert.True(response.IsSuccessStatusCode, $"{path}: {(int)response.StatusCode} {await response.Content.ReadAsStringAsync()}");
        return await response.Content.ReadFromJsonAsync<JsonElement>();
    }

    public Task<JsonElement> BenchAsync() => GetAsync("/api/v1/benches/demo");

    public async Task<HttpResponseMessage> PostAsync(string path, object body, string? match = null)
    {
        using var request = new HttpRequestMessage(HttpMethod.Post, path) { Content = JsonContent.Create(body) };
        if (match is not null)
            request.Headers.IfMatch.Add(new EntityTagHeaderValue($"\"{match}\""));
        return await Client.SendAsync(request);
    }

    public async Task<HttpResponseMessage> StartAsync(string who = "Ada Vahl", string procedure = "quick", string? match = null) => await PostAsync(
        "/api/v1/benches/demo/runs",
        new { device = "transmitter-16bar", procedure, who },
        match ?? (await BenchAsync()).GetProperty("revision").GetString());

    public Task<HttpResponseMessage> VentAsync() => Client.PostAsync("/api/v1/benches/demo/vent", null);

    /// <summary>Waits until the bench shows something, as long as the daemon lives.</summary>
    public async Task<JsonElement> UntilAsync(Func<JsonElement, bool> shows)
    {
        JsonElement bench = default;
        await Daemon.UntilAsync(() =>
        {
            bench = BenchAsync().GetAwaiter().GetResult();
            return shows(bench);
        });
        return bench;
    }

    /// <summary>Brings the bench to rest, as every test finds it: whatever a test that failed left behind is not the next one's affair.</summary>
    public async Task<JsonElement> RestAsync()
    {
        JsonElement bench = await BenchAsync();
        if (GoesOn(bench))
            (await VentAsync()).Dispose();
        JsonElement still = await UntilAsync(one => !GoesOn(one) && (Phase(one) == "safe" || (Phase(one) == "tripped" && IsVented(one))));
        if (Phase(still) == "tripped")
            (await AcknowledgeAsync(still.GetProperty("guard").GetProperty("trip").GetProperty("number").GetUInt32())).Dispose();
        return await UntilAsync(one => Phase(one) == "safe");
    }

    public Task<HttpResponseMessage> AcknowledgeAsync(uint trip) =>
        PostAsync("/api/v1/benches/demo/acknowledge", new { trip, who = "Ada Vahl", why = "asked for by this test" });

    public static bool IsVented(JsonElement bench) => bench.GetProperty("guard").GetProperty("depressurised").GetBoolean();

    public static string? Phase(JsonElement bench) => bench.GetProperty("guard").GetProperty("phase").GetString();

    public static bool GoesOn(JsonElement bench) =>
        bench.GetProperty("run") is { ValueKind: JsonValueKind.Object } run && run.GetProperty("ended").ValueKind == JsonValueKind.Null;

    [GeneratedRegex(@"^page (http://\S+)/$", RegexOptions.Multiline)]
    private static partial Regex Address();
}

/// <summary>Tests on the one served bench: one after another, with nothing else beside them.</summary>
[CollectionDefinition(Name, DisableParallelization = true)]
public sealed class OnServedBench : ICollectionFixture<ServedBench>
{
    public const string Name = "Served bench";
}
