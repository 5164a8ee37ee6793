using Barostep.Configuration;
using Barostep.Daemon.Access;
using Barostep.Daemon.Live;
using Barostep.Lines.GuardLine;
using Barostep.Procedures.Prompts;
using Barostep.Safety;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Barostep.Daemon.Api;

/// <summary>What can be asked of a bench. Everything goes to the guard, which decides and journals it.</summary>
internal static class BenchActions
{
    public static void Map(IEndpointRouteBuilder api, ApiContext context)
    {
        RouteGroupBuilder bench = api.MapGroup("/benches/{bench}").WithTags("actions");
        bench.MapPost("/vent", (string bench, bool? atOnce) => Vent(context, context.Bench(bench), atOnce ?? false))
            .WithName("vent").WithSummary("Vents. Never refused: needs no body, no name, no token.")
            .Produces<DoneView>(202).ProducesProblem(404).ProducesProblem(503)
            .ForEverybody();
        bench.MapPost("/stop", (string bench, StopRequest request, HttpContext http) => Stop(context.Bench(bench), request, http))
            .WithName("stopRun").WithSummary("Ends the run that goes on and vents. From the network it needs no token.")
            .Produces<DoneView>(202).ProducesProblem(400).ProducesProblem(404).ProducesProblem(409)
            .ForEverybody();
        bench.MapPost("/confirm", (string bench, ConfirmRequest request, HttpContext http) => Confirm(context.Bench(bench), request, http))
            .Needs(AccessRole.Operate).WithName("confirm").WithSummary("Tells the run that a person has done what it asked.")
            .Produces<DoneView>(202).ProducesProblem(400).ProducesProblem(404).ProducesProblem(409);
        bench.MapPost("/answer", (string bench, AnswerRequest request, HttpContext http) => Answer(context.Bench(bench), request, http))
            .Needs(AccessRole.Operate).WithName("answer").WithSummary("Answers what the run asks a person. The prompt's number says what was looked at: one prompt takes one answer.")
            .Produces<DoneView>(202).ProducesProblem(400).ProducesProblem(404).ProducesProblem(409);
        bench.MapPost("/acknowledge", (string bench, AcknowledgeRequest request, HttpContext http) => AcknowledgeAsync(context.Bench(bench), request, http))
            .Needs(AccessRole.Operate).WithName("acknowledge").WithSummary("Answers for a trip; the guard refuses unless the bench is depressurised and the cause has gone.")
            .Produces<DoneView>().ProducesProblem(400).ProducesProblem(404).ProducesProblem(409).ProducesProblem(503);
        bench.MapPost("/ceiling", (string bench, CeilingRequest request, HttpContext http) => CeilingAsync(context.Bench(bench), request, http))
            .Needs(AccessRole.Limits).WithName("setCeiling").WithSummary("Lowers the ceiling at once, or raises a lowered one while the bench is safe. Needs If-Match.")
            .Produces<DoneView>().ProducesProblem(400).ProducesProblem(404).ProducesProblem(409).ProducesProblem(412).ProducesProblem(428);
        bench.MapPost("/runs", (string bench, StartRequest request, HttpContext http) => StartAsync(context, context.Bench(bench), request, http))
            .Needs(AccessRole.Operate).WithName("startRun").WithSummary("Begins a run under the guard. Needs If-Match.")
            .Produces<RunView>(201).ProducesProblem(400).ProducesProblem(404).ProducesProblem(409).ProducesProblem(412).ProducesProblem(428);
    }

    private static Accepted<DoneView> Vent(ApiContext context, BenchBoard board, bool atOnce)
    {
        // The guard first: it vents whatever became of the run, and whoever holds its places.
        bool heard = GuardClient.TryVent(GuardSocket.PathOf(context.Means.GuardOf(board.Bench.Name).State, board.Bench.Name), atOnce);
        if (board.Run is { IsOver: false } run)
        {
            if (atOnce)
                run.Dump();
            else
                run.Stop();
        }

        // Nothing may begin on a bench that somebody has just vented.
        context.Queue.Pause(board.Bench.Name, "somebody vented");
        return heard
            ? TypedResults.Accepted((string?)null, new DoneView("The guard was told to vent; watch the pressure fall, and look at a gauge."))
            : throw new ProblemException(
                StatusCodes.Status503ServiceUnavailable,
                "No guard listens",
                "Nothing drives this bench: its dump valve is open where it has one. Use the manual vent and look at a gauge.");
    }

    private static Accepted<DoneView> Stop(BenchBoard board, StopRequest request, HttpContext http)
    {
        Caller.Of(http).Who(request.Who);
        RunOf(board, request.Run).Stop();
        return TypedResults.Accepted((string?)null, new DoneView("The run ends, and the bench vents."));
    }

    private static Accepted<DoneView> Confirm(BenchBoard board, ConfirmRequest request, HttpContext http)
    {
        string who = Caller.Of(http).Who(request.Who);
        RunSheet run = RunOf(board, request.Run);
        if (run.Look().Prompt is not { Kind: PromptKind.Confirm } prompt)
            throw new ProblemException(StatusCodes.Status409Conflict, "Nothing to confirm", "The run asks nobody for anything.");
        return Answer(run, new PersonAnswer(prompt.Number, string.Empty, who), "Confirmed; the run goes on.");
    }

    private static Accepted<DoneView> Answer(BenchBoard board, AnswerRequest request, HttpContext http)
    {
        string who = Caller.Of(http).Who(request.Who);
        return Answer(RunOf(board, request.Run), new PersonAnswer(request.Prompt, request.Answer ?? string.Empty, who), "Taken; the run goes on.");
    }

    private static Accepted<DoneView> Answer(RunSheet run, PersonAnswer answer, string done) => run.Answer(answer, out string? problem) switch
    {
        AnswerFate.Taken => TypedResults.Accepted((string?)null, new DoneView(done)),
        AnswerFate.NoReading => throw new ProblemException(StatusCodes.Status400BadRequest, "No reading of this scale", problem!),
        AnswerFate.AnsweredAlready => throw new ProblemException(
            StatusCodes.Status409Conflict, "Answered already", "Somebody else was quicker; each prompt takes one answer. Look again."),
        AnswerFate.TooLate => throw new ProblemException(
            StatusCodes.Status409Conflict, "Not asked any more", $"Prompt {answer.Prompt} is not what the run asks now; look again, and answer what it asks."),
        _ => throw new ArgumentOutOfRangeException(nameof(answer)),
    };

    private static async Task<Ok<DoneView>> AcknowledgeAsync(BenchBoard board, AcknowledgeRequest request, HttpContext http)
    {
        string who = Caller.Of(http).Who(request.Who);
        string why = Identifiers.Reason(request.Why);
        return await AskAsync(board, new PersonRecord(0, PersonRequestKind.Acknowledge, request.Trip, Pressure.Vacuum, who, why));
    }

    private static async Task<Ok<DoneView>> CeilingAsync(BenchBoard board, CeilingRequest request, HttpContext http)
    {
        string who = Caller.Of(http).Who(request.Who);
        string why = Identifiers.Reason(request.Why);
        if (!PressureInput.TryRead(request.Pressure, out StatedPressure stated, out string? message))
            throw new ProblemException(StatusCodes.Status400BadRequest, "Not understood", $"'pressure' {message}");
        BenchSight sight = board.Look();
        DemandFresh(http.Request, sight);
        if (sight.Told is not { } told)
            throw NoGuard(board);
        Pressure wanted = stated.ToAbsolute(BenchLimits.AtmosphereOf(board.Bench));
        PersonRequestKind kind = wanted > told.Bench.EffectiveCeiling ? PersonRequestKind.RaiseCeiling : PersonRequestKind.LowerCeiling;
        return await AskAsync(board, new PersonRecord(0, kind, 0, wanted, who, why));
    }

    private static async Task<Created<RunView>> StartAsync(ApiContext context, BenchBoard board, StartRequest request, HttpContext http)
    {
        string who = Caller.Of(http).Who(request.Who);
        context.Device(request.Device);
        context.Procedure(request.Procedure);
        BenchSight sight = board.Look();
        DemandFresh(http.Request, sight);
        if (!sight.GuardIsHere || sight.Told is not { } told)
            throw NoGuard(board);
        // The guard would give no pressure either; the run would only be a record of that.
        if (told.Bench.FirstCause != Cause.None)
            throw new RefusedException($"trip {told.Bench.TripNumber} of bench {board.Bench.Name} waits for somebody to answer for it");
        RunSheet run = await context.Starter.StartAsync(board, request.Device, request.Procedure, who);
        RunSight begun = run.Look();
        return TypedResults.Created($"/api/v1/runs/{begun.Job.RunId}", RunView.Of(begun, board.Look().NowMicros));
    }

    /// <summary>Whoever decided did so looking at the bench as it is: otherwise two people could start one bench twice.</summary>
    private static void DemandFresh(HttpRequest http, BenchSight sight)
    {
        string match = http.Headers.IfMatch.ToString();
        if (match.Length == 0)
        {
            throw new ProblemException(
                StatusCodes.Status428PreconditionRequired, "Say what you looked at", "Send the bench's ETag as If-Match, so that nobody decides about a bench that has changed.");
        }

        if (match != $"\"{sight.Revision}\"")
        {
            throw new ProblemException(
                StatusCodes.Status412PreconditionFailed, "The bench has changed", "Somebody else was quicker, or a limit changed; look again and decide again.");
        }
    }

    private static async Task<Ok<DoneView>> AskAsync(BenchBoard board, PersonRecord asked)
    {
        GuardClient guard = board.Guard ?? throw NoGuard(board);
        ReplyRecord? reply = await Task.Run(() =>
        {
            // One question at a time: the client numbers them.
            lock (guard)
                return guard.Ask(number => (asked with { Number = number }).Write);
        });
        return reply switch
        {
            { Accepted: true } => TypedResults.Ok(new DoneView("Done, and in the journal.")),
            { } refused => throw new RefusedException($"bench {board.Bench.Name}: {refused.Message}"),
            null => throw new ProblemException(StatusCodes.Status503ServiceUnavailable, "No answer", "The guard did not answer; what was asked may not have been done."),
        };
    }

    private static RunSheet RunOf(BenchBoard board, string id) => board.Run is { IsOver: false } run && run.Look().Job.RunId == id
        ? run
        : throw new ProblemException(StatusCodes.Status409Conflict, "No such run goes on", "It has ended, or another one goes on; look again.");

    private static ProblemException NoGuard(BenchBoard board) =>
        new(StatusCodes.Status503ServiceUnavailable, "No guard", $"The guard of bench {board.Bench.Name} is not there; nothing can be started.");
}
