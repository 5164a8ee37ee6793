using Barostep.Daemon.Live;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Barostep.Daemon.Api;

/// <summary>One thing that was looked at.</summary>
/// <param name="Ok">Whether it is as it must be.</param>
/// <param name="Found">What was seen, in words.</param>
internal sealed record HealthCheck(string Name, bool Ok, string Found);

/// <summary>Whether all is as it must be, and what each check saw.</summary>
internal sealed record HealthView(bool Ok, IReadOnlyList<HealthCheck> Checks);

/// <summary>Health as it is, not as it was meant to be: what does not get on is not live, what does not answer is not ready.</summary>
internal static class Health
{
    /// <summary>Frames are made five times a second.</summary>
    private static readonly TimeSpan LongestPause = TimeSpan.FromSeconds(2);

    /// <summary>A guard tells of every cycle, twenty times a second.</summary>
    private const long OldestWordMicros = 1_000_000;

    public static void Map(IEndpointRouteBuilder app, ApiContext context)
    {
        app.MapGet("/health/live", () => Answer(Live(context.Feed.Age)))
            .WithTags("health").WithName("isLive").WithSummary("Whether the daemon itself gets on.").Produces<HealthView>().Produces<HealthView>(503);
        app.MapGet("/health/ready", () => Answer(Ready(context.Feed.Age, [.. context.Boards.Values])))
            .WithTags("health").WithName("isReady")
            .WithSummary("Whether every bench has a guard that answers, a good reading, no trip, and is known vented or running.")
            .Produces<HealthView>().Produces<HealthView>(503);
    }

    private static JsonHttpResult<HealthView> Answer(IReadOnlyList<HealthCheck> checks)
    {
        bool ok = checks.All(check => check.Ok);
        return TypedResults.Json(
            new HealthView(ok, checks), ApiJson.Options, statusCode: ok ? StatusCodes.Status200OK : StatusCodes.Status503ServiceUnavailable);
    }

    /// <param name="age">Since the last frames were made.</param>
    public static IReadOnlyList<HealthCheck> Live(TimeSpan age) =>
        [new HealthCheck("frames", age <= LongestPause, $"the last was made {age.TotalMilliseconds:0} ms ago")];

    /// <param name="age">Since the last frames were made.</param>
    /// <param name="boards">Every bench.</param>
    public static IReadOnlyList<HealthCheck> Ready(TimeSpan age, IReadOnlyCollection<BenchBoard> boards) => boards.Count == 0
        ? [.. Live(age), new HealthCheck("benches", false, "barostep.toml names none")]
        : [.. Live(age), .. boards.Select(board => Bench(board.Bench.Name, board.Look()))];

    private static HealthCheck Bench(string name, BenchSight sight)
    {
        string? fault = sight switch
        {
            { GuardIsHere: false } => "no guard is connected",
            { AgeMicros: null } => "its guard has told nothing yet",
            { AgeMicros: > OldestWordMicros } => $"its guard has been silent for {sight.AgeMicros / 1000} ms",
            _ => FaultOf(sight),
        };
        return new HealthCheck($"bench {name}", fault is null, fault ?? $"{sight.Told!.Value.Bench.Phase}".ToLowerInvariant());
    }

    private static string? FaultOf(BenchSight sight)
    {
        Control.BenchSnapshot bench = sight.Told!.Value.Bench;
        if (bench.FirstCause != Safety.Cause.None)
            return $"trip {bench.TripNumber} waits for a person: {bench.FirstCause}";
        if (!bench.Reference.IsGood)
            return $"its reference gives no good reading: {bench.Reference.Quality}";
        if (bench.LineFault is { } line)
            return line;
        bool runs = sight.Run is { Ended: null };
        return bench.Depressurised || runs ? null : "it is neither known vented nor running";
    }
}
