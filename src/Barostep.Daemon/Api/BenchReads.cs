using Barostep.Configuration;
using Barostep.Daemon.Commands;
using Barostep.Daemon.Live;
using Barostep.Daemon.Output;
using Barostep.Control;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Barostep.Daemon.Api;

/// <summary>The recent past of a bench, as columns for a chart.</summary>
/// <param name="Age">Age of each moment when this was made, s.</param>
/// <param name="Reference">Pa absolute; null where nothing good was known.</param>
/// <param name="Indication">Pa absolute, likewise.</param>
/// <param name="Target">Pa absolute; null where no run asked for anything.</param>
/// <param name="Ceiling">Pa absolute.</param>
internal sealed record TraceView(
    IReadOnlyList<double> Age,
    IReadOnlyList<double?> Reference,
    IReadOnlyList<double?> Indication,
    IReadOnlyList<double?> Target,
    IReadOnlyList<double> Ceiling)
{
    public static TraceView Of(BenchBoard board)
    {
        long now = board.Look().NowMicros;
        TraceMoment[] moments = board.Trace.Moments();
        return new TraceView(
            [.. moments.Select(moment => (now - moment.Micros) / 1e6)],
            [.. moments.Select(moment => moment.ReferencePascals)],
            [.. moments.Select(moment => moment.IndicationPascals)],
            [.. moments.Select(moment => moment.TargetPascals)],
            [.. moments.Select(moment => moment.CeilingPascals)]);
    }
}

/// <summary>What can be looked at of a bench.</summary>
internal static class BenchReads
{
    public static void Map(IEndpointRouteBuilder api, ApiContext context)
    {
        RouteGroupBuilder benches = api.MapGroup("/benches").WithTags("benches");
        benches.MapGet("/", () => context.Boards.Values.Select(BenchView.Of).ToList())
            .WithName("listBenches").WithSummary("Every bench of this daemon, as it is now.");
        benches.MapGet("/{bench}", (string bench, HttpResponse response) => Bench(context.Bench(bench), response))
            .WithName("getBench").WithSummary("One bench as it is now; its ETag goes back as If-Match.").ProducesProblem(404);
        benches.MapGet("/{bench}/points", (string bench) => Points(context.Bench(bench)))
            .WithName("getPoints").WithSummary("The points of the run that goes on, or of the last one.").ProducesProblem(404);
        benches.MapGet("/{bench}/trace", (string bench) => TraceView.Of(context.Bench(bench)))
            .WithName("getTrace").WithSummary("The last half hour at two moments a second.").ProducesProblem(404);
        benches.MapGet("/{bench}/live", (string bench, HttpContext http) => LiveStream.SendAsync(context, context.Bench(bench), http))
            .WithName("watchBench").WithSummary("The bench five times a second, as server-sent events 'live' and 'points'.")
            .Produces<BenchView>(200, "text/event-stream").ProducesProblem(404).ProducesProblem(503);
        benches.MapGet("/{bench}/limits", (string bench, string? device) => LimitsAsync(context, context.Bench(bench), device))
            .WithName("getLimits").WithSummary("Every limit with its origin, the worst overshoot, permitted or refused and why.")
            .Produces<object>().ProducesProblem(404).ProducesProblem(409);
        benches.MapGet("/{bench}/plan", (string bench, string device, string procedure) => PlanView.Of(context, context.Bench(bench), device, procedure))
            .WithName("getPlan").WithSummary("What a run would do, the ceiling that would hold and why; nothing is opened.").ProducesProblem(404);
        benches.MapGet("/{bench}/trips", (string bench) => context.Journals.ReportAsync(context.Bench(bench)))
            .WithName("getJournalReport").WithSummary("Trips, limits and runs from the journal that the guard writes.")
            .Produces<object>().ProducesProblem(404).ProducesProblem(409);
        api.MapGet("/workshop", () => WorkshopView.Of(context))
            .WithTags("benches").WithName("getWorkshop").WithSummary("Devices and procedures that a run can be made of.");
    }

    public static PointsView Points(BenchBoard board)
    {
        RunSight? run = board.Look().Run;
        return new PointsView(run?.Job.RunId ?? string.Empty, run?.Progress.Points ?? 0, [.. (run?.Points ?? []).Select(PointView.Of)]);
    }

    private static BenchView Bench(BenchBoard board, HttpResponse response)
    {
        BenchView view = BenchView.Of(board);
        response.Headers.ETag = $"\"{view.Revision}\"";
        return view;
    }

    private static async Task<JsonHttpResult<object>> LimitsAsync(ApiContext context, BenchBoard board, string? device)
    {
        WorkshopConfiguration workshop = context.Means.Workshop;
        DeviceDefinition? ofDevice = device is null ? null : context.Device(device);
        // The budget takes a while to compute; a crowd of them must not take every thread.
        using IDisposable turn = await context.TakeTurnAsync();
        BenchPermit permit = BenchPermit.For(board.Bench, ofDevice, workshop.Origins, PermitCheck.Today());
        if (permit.Report is not { } report)
            throw new RefusedException(string.Join('\n', permit.Refusals(board.Bench)));
        return TypedResults.Json(LimitsJson.Of(board.Bench, ofDevice, permit, report), Json.Indented);
    }
}
