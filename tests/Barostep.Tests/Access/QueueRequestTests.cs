using System.Net;
using System.Net.Http.Json;
using System.Runtime.Versioning;
using System.Text.Json;
using Barostep.Daemon.Access;

namespace Barostep.Tests.Access;

/// <summary>The queue as people reach it through the interface.</summary>
[Collection(OnNetworkHost.Name)]
[SupportedOSPlatform("linux")]
public sealed class QueueRequestTests(NetworkHost host)
{
    private const string Queue = "/api/v1/benches/demo/queue";

    [Fact]
    public async Task A_run_is_added_under_the_name_of_the_token_and_taken_out_again()
    {
        using HttpClient ada = host.Client(host.TokenFor(AccessRole.Operate, "Ada of the queue"));
        using HttpResponseMessage added = await ada.PostAsJsonAsync(
            Queue, new { device = "transmitter-16bar", procedure = "quick-look", notBeforeUtc = "2030-01-01T00:00:00+02:00", onFailure = "goOn", who = "somebody else" });
        JsonElement run = await added.Content.ReadFromJsonAsync<JsonElement>();
        long id = run.GetProperty("id").GetInt64();

        Assert.Equal(HttpStatusCode.Created, added.StatusCode);
        Assert.Equal("Ada of the queue", run.GetProperty("addedBy").GetString());
        Assert.Equal(new DateTimeOffset(2029, 12, 31, 22, 0, 0, TimeSpan.Zero), run.GetProperty("notBeforeUtc").GetDateTimeOffset());
        Assert.Contains(id, Ids(await BenchAsync(ada), "runs"));

        using HttpResponseMessage removed = await ada.PostAsJsonAsync($"/api/v1/queue/{id}/remove", new { });
        using HttpResponseMessage again = await ada.PostAsJsonAsync($"/api/v1/queue/{id}/remove", new { });
        Assert.Equal(HttpStatusCode.OK, removed.StatusCode);
        Assert.Equal(HttpStatusCode.NotFound, again.StatusCode);
        Assert.DoesNotContain(id, Ids(await BenchAsync(ada), "runs"));
        Assert.Contains(id, Ids(await BenchAsync(ada), "over"));
    }

    [Theory]
    [InlineData("never", "quick-look", HttpStatusCode.NotFound)]
    [InlineData("transmitter-16bar", "never", HttpStatusCode.NotFound)]
    [InlineData("gauge-10bar", "quick-look", HttpStatusCode.Conflict)]
    public async Task What_could_never_run_is_refused_when_it_is_added(string device, string procedure, HttpStatusCode status)
    {
        using HttpClient ada = host.Client(host.TokenFor(AccessRole.Operate));
        using HttpResponseMessage added = await ada.PostAsJsonAsync(Queue, new { device, procedure });

        Assert.Equal(status, added.StatusCode);
    }

    [Fact]
    public async Task Who_only_watches_sees_the_queue_and_changes_nothing()
    {
        using HttpClient watcher = host.Client(host.TokenFor(AccessRole.Watch));
        using HttpResponseMessage added = await watcher.PostAsJsonAsync(Queue, new { device = "transmitter-16bar", procedure = "quick-look" });
        using HttpResponseMessage started = await watcher.PostAsJsonAsync($"{Queue}/start", new { mounted = "transmitter-16bar" });

        Assert.Equal(HttpStatusCode.Forbidden, added.StatusCode);
        Assert.Equal(HttpStatusCode.Forbidden, started.StatusCode);
        Assert.Equal("demo", (await BenchAsync(watcher)).GetProperty("bench").GetString());
    }

    [Fact]
    public async Task Whoever_can_reach_it_pauses_it_and_a_vent_does_too()
    {
        using HttpClient ada = host.Client(host.TokenFor(AccessRole.Operate));
        using HttpClient nobody = host.Client();

        await StartAsync(ada);
        using HttpResponseMessage paused = await nobody.PostAsJsonAsync($"{Queue}/pause", new { who = "a passer-by" });
        Assert.Equal(HttpStatusCode.OK, paused.StatusCode);
        Assert.Equal("paused: a passer-by paused it", (await BenchAsync(ada)).GetProperty("says").GetString());

        await StartAsync(ada);
        using HttpResponseMessage vent = await nobody.PostAsync("/api/v1/benches/demo/vent", null);
        JsonElement after = await BenchAsync(ada);
        Assert.False(after.GetProperty("started").GetBoolean());
        Assert.Equal("paused: somebody vented", after.GetProperty("says").GetString());
    }

    private static async Task StartAsync(HttpClient client)
    {
        using HttpResponseMessage started = await client.PostAsJsonAsync($"{Queue}/start", new { mounted = "transmitter-16bar" });
        Assert.Equal(HttpStatusCode.OK, started.StatusCode);
        Assert.Equal("transmitter-16bar", (await BenchAsync(client)).GetProperty("mounted").GetString());
    }

    private static async Task<JsonElement> BenchAsync(HttpClient client) =>
        (await client.GetFromJsonAsync<JsonElement>("/api/v1/queue")).EnumerateArray().Single();

    private static IEnumerable<long> Ids(JsonElement bench, string list) =>
        bench.GetProperty(list).EnumerateArray().Select(run => run.GetProperty("id").GetInt64());
}
