using Barostep.Daemon.Access;
using Barostep.Daemon.Commands;
using Barostep.Daemon.Live;
using Barostep.Daemon.Unattended;
using Barostep.Records;
using Barostep.Unattended;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Barostep.Daemon.Api;

/// <summary>Adds a run to the queue of a bench.</summary>
/// <param name="NotBeforeUtc">Null for as soon as its turn comes.</param>
/// <param name="OnFailure">Whether the queue halts when this run fails: it does, where nothing is said.</param>
internal sealed record QueueRequest(string Device, string Procedure, DateTimeOffset? NotBeforeUtc = null, OnFailure OnFailure = OnFailure.Stop, string? Who = null);

/// <summary>Starts the queue of a bench.</summary>
/// <param name="Mounted">Name of the device that hangs there, as a person has seen: no other is calibrated.</param>
internal sealed record QueueStartRequest(string Mounted, string? Who = null);

/// <summary>Something that a person asks for by name only.</summary>
internal sealed record PersonRequestBody(string? Who = null);

/// <summary>A queued run.</summary>
/// <param name="Run">Id of the record; null before it began.</param>
/// <param name="Note">Why it stands as it does; empty where there is nothing to say.</param>
internal sealed record QueuedRunView(
    long Id, string Device, string Procedure, DateTimeOffset? NotBeforeUtc, OnFailure OnFailure, string AddedBy, DateTimeOffset AddedUtc, QueueState State, string? Run, string Note)
{
    public static QueuedRunView Of(QueuedRun run) => new(
        run.Id, run.Wish.Device, run.Wish.Procedure, run.Wish.NotBeforeUtc, run.Wish.OnFailure, run.AddedBy, run.AddedUtc, run.State, run.RunId, run.Note);
}

/// <summary>The queue of a bench.</summary>
/// <param name="Started">Whether a person has started it since the daemon did.</param>
/// <param name="Mounted">The device they said is mounted.</param>
/// <param name="Says">What it waits for, or why it is paused.</param>
/// <param name="Runs">What waits or goes on, in order.</param>
/// <param name="Over">The newest that are over.</param>
internal sealed record QueueView(
    string Bench, bool Started, string? Mounted, string? StartedBy, string Says, IReadOnlyList<QueuedRunView> Runs, IReadOnlyList<QueuedRunView> Over);

/// <summary>Runs that are done one after the other while nobody looks.</summary>
internal static class QueueActions
{
    private const int MostOver = 20;

    public static void Map(IEndpointRouteBuilder api, ApiContext context)
    {
        api.MapGet("/queue", () => context.Boards.Keys.Order(StringComparer.Ordinal).Select(bench => Of(context, bench)).ToList())
            .WithTags("queue").WithName("listQueue").WithSummary("The queue of every bench: what goes on, what waits and for what, what is over.");
        api.MapPost("/queue/{queued:long}/remove", (long queued, PersonRequestBody request, HttpContext http) => Remove(context, queued, request, http))
            .WithTags("queue").Needs(AccessRole.Operate).WithName("removeQueued").WithSummary("Takes out a run that has not begun.")
            .Produces<DoneView>().ProducesProblem(400).ProducesProblem(404);
        RouteGroupBuilder queue = api.MapGroup("/benches/{bench}/queue").WithTags("queue");
        queue.MapPost("/", (string bench, QueueRequest request, HttpContext http) => Add(context, context.Bench(bench), request, http))
            .Needs(AccessRole.Operate).WithName("addQueued").WithSummary("Adds a run at the end of a bench's queue. Nothing begins before the queue is started.")
            .Produces<QueuedRunView>(201).ProducesProblem(400).ProducesProblem(404).ProducesProblem(409);
        queue.MapPost("/start", (string bench, QueueStartRequest request, HttpContext http) => Start(context, context.Bench(bench), request, http))
            .Needs(AccessRole.Operate).WithName("startQueue")
            .WithSummary("Starts the queue: a person says which device is mounted, and answers for what was interrupted.")
            .Produces<QueueView>().ProducesProblem(400).ProducesProblem(404);
        queue.MapPost("/pause", (string bench, PersonRequestBody request, HttpContext http) => Pause(context, context.Bench(bench), request, http))
            .ForEverybody().WithName("pauseQueue").WithSummary("Begins nothing more. A run that goes on is left alone: stop it, or vent. Needs no token.")
            .Produces<QueueView>().ProducesProblem(400).ProducesProblem(404);
    }

    private static QueueView Of(ApiContext context, string bench)
    {
        QueueSight sight = context.Queue.Look(bench);
        QueueRegister register = context.Means.Store.Queue;
        return new QueueView(
            bench, sight.Mounted is not null, sight.Mounted, sight.StartedBy, sight.Says,
            [.. register.Open().Where(run => run.Wish.Bench == bench).Select(QueuedRunView.Of)],
            [.. register.Over(MostOver).Where(run => run.Wish.Bench == bench).Select(QueuedRunView.Of)]);
    }

    private static Created<QueuedRunView> Add(ApiContext context, BenchBoard board, QueueRequest request, HttpContext http)
    {
        string who = Caller.Of(http).Who(request.Who);
        context.Device(request.Device);
        context.Procedure(request.Procedure);
        // What could never run is refused now, and not in the middle of the night.
        SweepCommands.Prepare(
            context.Means.Workshop, board.Bench.Name, request.Device, request.Procedure, Guid.CreateVersion7().ToString(), context.Means.Simulated, allowance: null);
        var wish = new QueueWish(board.Bench.Name, request.Device, request.Procedure, request.NotBeforeUtc?.ToUniversalTime(), request.OnFailure);
        QueuedRun added = context.Means.Store.Queue.Add(wish, who, context.Time.GetUtcNow());
        return TypedResults.Created("/api/v1/queue", QueuedRunView.Of(added));
    }

    private static Ok<DoneView> Remove(ApiContext context, long queued, PersonRequestBody request, HttpContext http)
    {
        context.Means.Store.Queue.Mark(queued, QueueState.Removed, context.Time.GetUtcNow(), who: Caller.Of(http).Who(request.Who));
        return TypedResults.Ok(new DoneView("It is out of the queue."));
    }

    private static Ok<QueueView> Start(ApiContext context, BenchBoard board, QueueStartRequest request, HttpContext http)
    {
        string who = Caller.Of(http).Who(request.Who);
        context.Device(request.Mounted);
        context.Queue.Start(board.Bench.Name, request.Mounted, who);
        return TypedResults.Ok(Of(context, board.Bench.Name));
    }

    private static Ok<QueueView> Pause(ApiContext context, BenchBoard board, PersonRequestBody request, HttpContext http)
    {
        context.Queue.Pause(board.Bench.Name, $"{Caller.Of(http).Who(request.Who)} paused it");
        return TypedResults.Ok(Of(context, board.Bench.Name));
    }
}
