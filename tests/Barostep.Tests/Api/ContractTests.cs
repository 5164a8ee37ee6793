using System.Net.Http.Json;
using System.Text.Json;

namespace Barostep.Tests.Api;

/// <summary>What the interface answers, held to the document in which it describes itself.</summary>
[Collection(OnServedBench.Name)]
public sealed class ContractTests(ServedBench served)
{
    [Fact]
    public async Task The_document_is_OpenAPI_3_1_and_names_every_operation_once()
    {
        JsonElement document = await served.GetAsync("/openapi/v1.json");

        Assert.StartsWith("3.1", document.GetProperty("openapi").GetString(), StringComparison.Ordinal);
        string[] names = [.. Operations(document).Select(operation => operation.Value.GetProperty("operationId").GetString()!)];
        Assert.Equal(names.Length, names.Distinct().Count());
        Assert.All(Operations(document), operation => Assert.NotEmpty(operation.Value.GetProperty("summary").GetString()!));
    }

    [Theory]
    [InlineData("/api/v1/benches", "/api/v1/benches")]
    [InlineData("/api/v1/benches/{bench}", "/api/v1/benches/demo")]
    [InlineData("/api/v1/benches/{bench}/points", "/api/v1/benches/demo/points")]
    [InlineData("/api/v1/benches/{bench}/trace", "/api/v1/benches/demo/trace")]
    [InlineData("/api/v1/benches/{bench}/plan", "/api/v1/benches/demo/plan?device=transmitter-16bar&procedure=quick")]
    [InlineData("/api/v1/workshop", "/api/v1/workshop")]
    [InlineData("/api/v1/queue", "/api/v1/queue")]
    [InlineData("/api/v1/session", "/api/v1/session")]
    [InlineData("/health/live", "/health/live")]
    [InlineData("/health/ready", "/health/ready")]
    public async Task An_answer_is_as_the_document_says(string path, string asked)
    {
        JsonElement document = await served.GetAsync("/openapi/v1.json");
        using HttpResponseMessage response = await served.Client.GetAsync(asked);
        // On a machine that others use a reading may be late just now, and then "not ready" is the truth.
        string status = path == "/health/ready" ? $"{(int)response.StatusCode}" : "200";
        JsonElement schema = document.GetProperty("paths").GetProperty(path).GetProperty("get").GetProperty("responses")
            .GetProperty(status).GetProperty("content").GetProperty("application/json").GetProperty("schema");

        JsonElement answer = await response.Content.ReadFromJsonAsync<JsonElement>();

        Assert.Equal(status, $"{(int)response.StatusCode}");
        Assert.Empty(new SchemaCheck(document).Check(schema, answer));
    }

    [Theory]
    [InlineData("/api/v1/benches/nowhere", 404)]
    [InlineData("/api/v1/benches/demo/plan?device=never&procedure=quick", 404)]
    [InlineData("/api/v1/benches/demo/plan", 400)]
    [InlineData("/api/v1/runs?page=0", 400)]
    [InlineData("/api/v1/runs/01234567", 404)]
    [InlineData("/api/v1/devices/nobody", 404)]
    [InlineData("/api/v1/nothing", 404)]
    public async Task A_refusal_is_a_problem_with_its_status_in_it(string asked, int status)
    {
        using HttpResponseMessage response = await served.Client.GetAsync(asked);

        Assert.Equal(status, (int)response.StatusCode);
        Assert.Equal("application/problem+json", response.Content.Headers.ContentType?.MediaType);
        JsonElement problem = await response.Content.ReadFromJsonAsync<JsonElement>();
        Assert.Equal(status, problem.GetProperty("status").GetInt32());
        Assert.DoesNotContain("   at ", problem.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_limits_tell_the_ceiling_and_where_it_is_written()
    {
        JsonElement limits = await served.GetAsync("/api/v1/benches/demo/limits?device=transmitter-16bar");

        Assert.True(limits.GetProperty("permitted").GetBoolean());
        Assert.StartsWith("benches/demo.toml:", limits.GetProperty("ceiling_origin").GetString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_journal_is_summed_up_while_the_guard_writes_it()
    {
        JsonElement told = await served.GetAsync("/api/v1/benches/demo/trips");

        Assert.True(told.GetProperty("report").GetProperty("simulated").GetBoolean());
        Assert.True(told.GetProperty("report").GetProperty("cycles").GetInt64() > 0);
    }

    [Fact]
    public async Task Who_looks_on_is_told_several_times_a_second()
    {
        using Stream stream = await served.Client.GetStreamAsync("/api/v1/benches/demo/live");
        using var lines = new StreamReader(stream);
        var events = new List<(string Name, JsonElement Data)>();
        while (events.Count < 5)
        {
            string name = (await lines.ReadLineAsync())!["event: ".Length..];
            events.Add((name, JsonSerializer.Deserialize<JsonElement>((await lines.ReadLineAsync())!["data: ".Length..])));
            await lines.ReadLineAsync();
        }

        Assert.Equal(["live", "points", "live", "live", "live"], events.Select(one => one.Name));
        Assert.NotEqual(
            events[2].Data.GetProperty("guard").GetProperty("ageMs").GetDouble(), events[4].Data.GetProperty("guard").GetProperty("ageMs").GetDouble());
    }

    private static IEnumerable<JsonProperty> Operations(JsonElement document) =>
        document.GetProperty("paths").EnumerateObject().SelectMany(path => path.Value.EnumerateObject());
}
