using System.Net;
using System.Text.Json;
using Barostep.Tests.Processes;

namespace Barostep.Tests.Api;

/// <summary>The queue of the real daemon, by its commands, on the simulated bench.</summary>
[Collection(OnServedBench.Name)]
public sealed class QueueTests(ServedBench served) : IAsyncLifetime
{
    public Task InitializeAsync() => served.RestAsync();

    public Task DisposeAsync() => Task.CompletedTask;

    [Fact]
    public async Task A_queued_run_begins_once_the_queue_is_started_and_a_vent_halts_both()
    {
        string first = (await QueueAsync("add", "--bench", "demo", "--device", "transmitter-16bar", "--procedure", "quick", "--who", "Ada Vahl", "--on-failure", "go-on")).Trim();
        string second = (await QueueAsync("add", "--bench", "demo", "--device", "transmitter-16bar", "--procedure", "quick", "--who", "Ada Vahl")).Trim();
        Assert.False(ServedBench.GoesOn(await served.BenchAsync()));

        await QueueAsync("start", "--bench", "demo", "--mounted", "transmitter-16bar", "--who", "Ada Vahl");
        JsonElement running = await served.UntilAsync(ServedBench.GoesOn);
        Assert.Equal("Ada Vahl", running.GetProperty("run").GetProperty("who").GetString());
        using HttpResponseMessage vent = await served.VentAsync();
        Assert.Equal(HttpStatusCode.Accepted, vent.StatusCode);

        await served.RestAsync();
        JsonElement queue = default;
        await served.Daemon.UntilAsync(() =>
        {
            queue = served.GetAsync("/api/v1/queue").GetAwaiter().GetResult()[0];
            return State(queue, first) == "ended";
        });
        Assert.False(queue.GetProperty("started").GetBoolean());
        Assert.Equal("waiting", State(queue, second));
        await QueueAsync("remove", second, "--who", "Ada Vahl");
        Assert.False(ServedBench.GoesOn(await served.BenchAsync()));
        Assert.Contains("paused", await QueueAsync("list"), StringComparison.Ordinal);
    }

    private static string? State(JsonElement queue, string id) => queue.GetProperty("runs").EnumerateArray()
        .Concat(queue.GetProperty("over").EnumerateArray())
        .Single(run => run.GetProperty("id").GetInt64().ToString(System.Globalization.CultureInfo.InvariantCulture) == id)
        .GetProperty("state").GetString();

    private async Task<string> QueueAsync(params string[] arguments)
    {
        using ChildProgram command = ChildProgram.Start(
            Programs.Daemon, served.Workshop.Folder, ["queue", .. arguments, "--port", served.Page.Port.ToString(System.Globalization.CultureInfo.InvariantCulture)]);
        Finished ended = await command.EndAsync();
        Assert.True(ended.ExitCode == 0, ended.Error);
        return ended.Out;
    }
}
