using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using Barostep.Safety;

namespace Barostep.Tests.Api;

/// <summary>What people ask of the bench through the interface.</summary>
[Collection(OnServedBench.Name)]
public sealed class ActionTests(ServedBench served) : IAsyncLifetime
{
    /// <summary>As config/barostep.toml lists them.</summary>
    private const string SafetyPerson = "Ines Quandt";

    public Task InitializeAsync() => served.RestAsync();

    public Task DisposeAsync() => Task.CompletedTask;

    [Fact]
    public async Task A_run_is_started_only_by_who_says_what_they_looked_at()
    {
        var wish = new { device = "transmitter-16bar", procedure = "quick", who = "Ada Vahl" };
        using HttpResponseMessage blind = await served.PostAsync("/api/v1/benches/demo/runs", wish);
        using HttpResponseMessage stale = await served.PostAsync("/api/v1/benches/demo/runs", wish, "0000000000000000");

        Assert.Equal(HttpStatusCode.PreconditionRequired, blind.StatusCode);
        Assert.Equal(HttpStatusCode.PreconditionFailed, stale.StatusCode);
        Assert.False(ServedBench.GoesOn(await served.BenchAsync()));
    }

    [Fact]
    [Trait("SR", "45")]
    public async Task Of_two_who_start_at_once_one_does_and_a_vent_from_anybody_ends_it()
    {
        string revision = (await served.BenchAsync()).GetProperty("revision").GetString()!;
        HttpResponseMessage[] answers = await Task.WhenAll(served.StartAsync("Ada Vahl", match: revision), served.StartAsync("Bo Lind", match: revision));
        Assert.Single(answers, answer => answer.StatusCode == HttpStatusCode.Created);
        Assert.Single(answers, answer => answer.StatusCode is HttpStatusCode.Conflict or HttpStatusCode.PreconditionFailed);
        HttpResponseMessage begun = answers.Single(answer => answer.StatusCode == HttpStatusCode.Created);
        string id = (await begun.Content.ReadFromJsonAsync<JsonElement>()).GetProperty("id").GetString()!;
        await served.UntilAsync(bench => ServedBench.Phase(bench) == "permitted");

        using HttpResponseMessage vent = await served.VentAsync();
        Assert.Equal(HttpStatusCode.Accepted, vent.StatusCode);
        await served.RestAsync();

        JsonElement run = await served.GetAsync($"/api/v1/runs/{id}");
        Assert.Equal("stopped", run.GetProperty("outcome").GetString());
        Assert.True(run.GetProperty("ventConfirmed").GetBoolean());
        using HttpResponseMessage certificate = await served.Client.GetAsync($"/api/v1/runs/{id}/certificate.pdf");
        Assert.Equal(HttpStatusCode.NotFound, certificate.StatusCode);
        foreach (HttpResponseMessage answer in answers)
            answer.Dispose();
    }

    [Fact]
    public async Task Of_two_who_answer_one_question_at_once_one_is_heard_and_the_record_names_them()
    {
        using HttpResponseMessage begun = await served.StartAsync(procedure: "asked");
        string run = (await begun.Content.ReadFromJsonAsync<JsonElement>()).GetProperty("id").GetString()!;
        JsonElement bench = await served.UntilAsync(one => one.GetProperty("run").GetProperty("prompt").ValueKind == JsonValueKind.Object);
        JsonElement prompt = bench.GetProperty("run").GetProperty("prompt");
        Assert.Equal(("confirm", "Hose restrained?"), (prompt.GetProperty("kind").GetString(), prompt.GetProperty("text").GetString()));
        int number = prompt.GetProperty("number").GetInt32();

        using HttpResponseMessage early = await AnswerAsync(run, number + 1, "Ada Vahl");
        Assert.Equal(HttpStatusCode.Conflict, early.StatusCode);
        (string Who, HttpResponseMessage Told)[] answers = await Task.WhenAll(
            new[] { "Ada Vahl", "Bo Lind" }.Select(async who => (who, await AnswerAsync(run, number, who))));
        string heard = Assert.Single(answers, answer => answer.Told.StatusCode == HttpStatusCode.Accepted).Who;
        HttpResponseMessage second = Assert.Single(answers, answer => answer.Told.StatusCode == HttpStatusCode.Conflict).Told;
        Assert.Contains("Somebody else was quicker", await second.Content.ReadAsStringAsync(), StringComparison.Ordinal);

        await served.UntilAsync(one => one.GetProperty("run").GetProperty("prompt").ValueKind == JsonValueKind.Null);
        await served.RestAsync();
        JsonElement kept = (await served.GetAsync($"/api/v1/runs/{run}/record")).GetProperty("record").GetProperty("answers");
        Assert.Equal(heard, Assert.Single(kept.EnumerateArray()).GetProperty("who").GetString());
        foreach ((_, HttpResponseMessage told) in answers)
            told.Dispose();

        Task<HttpResponseMessage> AnswerAsync(string id, int prompt, string who) =>
            served.PostAsync("/api/v1/benches/demo/answer", new { run = id, prompt, answer = "", who });
    }

    [Fact]
    [Trait("SR", "45")]
    public async Task A_ceiling_is_lowered_by_a_person_with_a_reason_and_the_journal_says_so()
    {
        JsonElement before = await served.BenchAsync();
        using HttpResponseMessage lowered = await SetAsync("9 bar gauge", before);
        Assert.Equal(HttpStatusCode.OK, lowered.StatusCode);
        JsonElement after = await served.UntilAsync(bench => Ceiling(bench) < Ceiling(before));
        Assert.Equal(900_000 + 100_940, Ceiling(after), 1.0);

        using HttpResponseMessage unheard = await SetAsync("9 bar", after);
        Assert.Equal(HttpStatusCode.BadRequest, unheard.StatusCode);
        using HttpResponseMessage tooHigh = await SetAsync("30 bar gauge", after);
        Assert.Equal(HttpStatusCode.Conflict, tooHigh.StatusCode);
        using HttpResponseMessage withoutRole = await SetAsync("17 bar gauge", after);
        Assert.Equal(HttpStatusCode.Conflict, withoutRole.StatusCode);
        using HttpResponseMessage raised = await SetAsync("17 bar gauge", after, SafetyPerson);
        Assert.Equal(HttpStatusCode.OK, raised.StatusCode);

        JsonElement journal = await served.GetAsync("/api/v1/benches/demo/trips");
        Assert.Contains(
            journal.GetProperty("report").GetProperty("limits").EnumerateArray(),
            limit => limit.GetProperty("who").GetString() == "Ada Vahl" && limit.GetProperty("why").GetString() == "a hose of 10 bar");
    }

    [Fact]
    [Trait("SR", "26, 45")]
    public async Task A_trip_is_answered_for_by_its_number_only_and_keeps_the_bench_until_then()
    {
        using HttpResponseMessage started = await served.StartAsync();
        Assert.Equal(HttpStatusCode.Created, started.StatusCode);
        await served.UntilAsync(bench => ServedBench.Phase(bench) == "permitted");
        using HttpResponseMessage dump = await served.Client.PostAsync("/api/v1/benches/demo/vent?atOnce=true", null);
        Assert.Equal(HttpStatusCode.Accepted, dump.StatusCode);

        JsonElement tripped = await served.UntilAsync(bench =>
            ServedBench.Phase(bench) == "tripped" && ServedBench.IsVented(bench) && !ServedBench.GoesOn(bench));
        JsonElement trip = tripped.GetProperty("guard").GetProperty("trip");
        Assert.Equal(nameof(Cause.OperatorDump), trip.GetProperty("firstCause").GetProperty("cause").GetString(), ignoreCase: true);
        uint number = trip.GetProperty("number").GetUInt32();
        using HttpResponseMessage notReady = await served.Client.GetAsync("/health/ready");
        Assert.Equal(HttpStatusCode.ServiceUnavailable, notReady.StatusCode);
        using HttpResponseMessage refusedStart = await served.StartAsync();
        Assert.Equal(HttpStatusCode.Conflict, refusedStart.StatusCode);

        using HttpResponseMessage other = await served.AcknowledgeAsync(number + 1);
        Assert.Equal(HttpStatusCode.Conflict, other.StatusCode);
        using HttpResponseMessage right = await served.AcknowledgeAsync(number);
        Assert.Equal(HttpStatusCode.OK, right.StatusCode);
        await served.RestAsync();
    }

    [Fact]
    public async Task Only_the_run_that_goes_on_can_be_stopped()
    {
        using HttpResponseMessage stopped = await served.PostAsync("/api/v1/benches/demo/stop", new { run = "01234567", who = "Ada Vahl" });

        Assert.Equal(HttpStatusCode.Conflict, stopped.StatusCode);
    }

    private static double Ceiling(JsonElement bench) => bench.GetProperty("guard").GetProperty("ceilingPascals").GetDouble();

    private Task<HttpResponseMessage> SetAsync(string pressure, JsonElement seen, string who = "Ada Vahl") => served.PostAsync(
        "/api/v1/benches/demo/ceiling", new { pressure, who, why = "a hose of 10 bar" }, seen.GetProperty("revision").GetString());
}
