using System.Diagnostics;
using System.Net.Http.Json;
using System.Text.Json;
using System.Text.RegularExpressions;

namespace Barostep.Daemon.Benchmarks;

/// <summary>The daemon of a soak, in a process of its own, and a script that talks to it.</summary>
internal sealed partial class SoakDaemon : IDisposable
{
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(5);
    private static readonly TimeSpan Look = TimeSpan.FromMilliseconds(500);

    private readonly Process _process;
    private readonly HttpClient _client;

    private SoakDaemon(Process process, Uri address)
    {
        _process = process;
        _client = new HttpClient { BaseAddress = address };
    }

    public int Id => _process.Id;

    /// <exception cref="RefusedException">It did not start.</exception>
    public static async Task<SoakDaemon> StartAsync(string config, string ports, string state)
    {
        ProcessStartInfo start = ProgramBeside.Start("barostep");
        start.RedirectStandardError = true;
        foreach (string argument in new[] { "serve", "--config", config, "--ports", ports, "--state", state, "--port", "0" })
            start.ArgumentList.Add(argument);
        Process process = Process.Start(start)!;
        while (await process.StandardError.ReadLineAsync() is { } line)
        {
            if (Address().Match(line) is { Success: true } found)
            {
                // What it tells from now on must not fill the pipe and stop it.
                _ = process.StandardError.BaseStream.CopyToAsync(Stream.Null);
                return new SoakDaemon(process, new Uri(found.Groups[1].Value));
            }
        }

        throw new RefusedException("the daemon did not start");
    }

    /// <summary>Waits until every bench is known vented and answers; a trip of the crowded start is acknowledged.</summary>
    /// <returns>How many trips there were.</returns>
    /// <exception cref="RefusedException">That did not come; the message holds the daemon's own words.</exception>
    public async Task<int> UntilReadyAsync()
    {
        long began = Stopwatch.GetTimestamp();
        int trips = 0;
        while (true)
        {
            using HttpResponseMessage answer = await _client.GetAsync("/health/ready");
            if (answer.IsSuccessStatusCode)
                return trips;
            trips += await AcknowledgeAsync();
            if (Stopwatch.GetElapsedTime(began) > Patience)
                throw new RefusedException($"not every bench became ready: {await answer.Content.ReadAsStringAsync()}");
            await Task.Delay(Look);
        }
    }

    private async Task<int> AcknowledgeAsync()
    {
        int accepted = 0;
        foreach (JsonElement bench in (await _client.GetFromJsonAsync<JsonElement>("/api/v1/benches")).EnumerateArray())
        {
            if (!bench.TryGetProperty("guard", out JsonElement guard) || guard.ValueKind != JsonValueKind.Object || !Has(guard, "trip"))
                continue;
            var answer = new { trip = guard.GetProperty("trip").GetProperty("number").GetUInt32(), who = "soak", why = "all benches were started at once" };
            using HttpResponseMessage told = await _client.PostAsJsonAsync($"/api/v1/benches/{bench.GetProperty("name").GetString()}/acknowledge", answer);
            accepted += told.IsSuccessStatusCode ? 1 : 0;
        }

        return accepted;
    }

    /// <summary>Starts a run where none goes on; false where it is refused or one does.</summary>
    public async Task<bool> TryStartRunAsync(string bench)
    {
        JsonElement now = await _client.GetFromJsonAsync<JsonElement>($"/api/v1/benches/{bench}");
        if (now.TryGetProperty("run", out JsonElement run) && run.ValueKind == JsonValueKind.Object && !Has(run, "ended"))
        {
            if (Has(run, "prompt"))
                await ConfirmAsync(bench, run.GetProperty("id").GetString()!);
            return false;
        }

        using var request = new HttpRequestMessage(HttpMethod.Post, $"/api/v1/benches/{bench}/runs")
        {
            Content = JsonContent.Create(new { device = "transmitter-16bar", procedure = "eleven-point", who = "soak" }),
        };
        request.Headers.IfMatch.Add(new System.Net.Http.Headers.EntityTagHeaderValue($"\"{now.GetProperty("revision").GetString()}\""));
        using HttpResponseMessage answer = await _client.SendAsync(request);
        return answer.IsSuccessStatusCode;
    }

    private async Task ConfirmAsync(string bench, string run)
    {
        using HttpResponseMessage answer = await _client.PostAsJsonAsync($"/api/v1/benches/{bench}/confirm", new { run, who = "soak" });
    }

    private static bool Has(JsonElement one, string name) => one.TryGetProperty(name, out JsonElement value) && value.ValueKind == JsonValueKind.Object;

    /// <summary>Asks for a vent, and tells how long the answer took, ms.</summary>
    public async Task<double> VentAsync(string bench)
    {
        long asked = Stopwatch.GetTimestamp();
        using HttpResponseMessage answer = await _client.PostAsync($"/api/v1/benches/{bench}/vent", null);
        answer.EnsureSuccessStatusCode();
        return Stopwatch.GetElapsedTime(asked).TotalMilliseconds;
    }

    /// <summary>The runs that ended, by how they did.</summary>
    public async Task<IReadOnlyDictionary<string, long>> RunsAsync()
    {
        string text = await _client.GetStringAsync("/metrics");
        return RunsTotal().Matches(text)
            .GroupBy(match => match.Groups[1].Value, match => long.Parse(match.Groups[2].Value, System.Globalization.CultureInfo.InvariantCulture))
            .ToDictionary(group => group.Key, group => group.Sum());
    }

    public void Dispose()
    {
        _client.Dispose();
        _process.Kill(entireProcessTree: true);
        _process.WaitForExit();
        _process.Dispose();
    }

    [GeneratedRegex("^page (http://[^/]+)/")]
    private static partial Regex Address();

    [GeneratedRegex("^barostep_runs_total\\{.*result=\"([a-z_]+)\"\\} (\\d+)$", RegexOptions.Multiline)]
    private static partial Regex RunsTotal();
}
