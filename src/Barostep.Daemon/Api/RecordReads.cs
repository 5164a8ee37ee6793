using Barostep.Daemon.Commands;
using Barostep.Daemon.Output;
using Barostep.Evaluation;
using Barostep.Records;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;

namespace Barostep.Daemon.Api;

/// <summary>One run as it is kept.</summary>
/// <param name="Display">How its pressures are shown.</param>
/// <param name="Reasons">Why the verdict is not passed; empty where it is.</param>
/// <param name="Certificates">Numbers of those issued for it, the valid one first; a draft has none.</param>
/// <param name="HasCertificate">Whether a document can be fetched: an issued one, or the draft.</param>
internal sealed record RecordView(
    string Id,
    string Bench,
    DeviceView Device,
    string Procedure,
    DateTimeOffset StartedUtc,
    DateTimeOffset EndedUtc,
    bool Simulated,
    RunOutcome Outcome,
    string OutcomeReason,
    bool VentConfirmed,
    Conformity Verdict,
    IReadOnlyList<string> Reasons,
    double CeilingPascals,
    double HighestPascals,
    DisplayView Display,
    IReadOnlyList<PointView> Points,
    IReadOnlyList<string> Certificates,
    bool HasCertificate);

/// <summary>What was measured: runs, documents, devices.</summary>
internal static class RecordReads
{
    private const int PageSize = 50;

    public static void Map(IEndpointRouteBuilder api, ApiContext context)
    {
        RouteGroupBuilder runs = api.MapGroup("/runs").WithTags("records");
        runs.MapGet("/", (int? page) => List(context.Means.Store, page ?? 1))
            .WithName("listRuns").WithSummary("Recorded runs, newest first, fifty a page.").Produces<object>().ProducesProblem(400);
        runs.MapGet("/{run}", (string run) => Show(context, Get(context, run)))
            .WithName("getRun").WithSummary("One run with its result.").ProducesProblem(400).ProducesProblem(404);
        runs.MapGet("/{run}/record", (string run) => TypedResults.Bytes(Written(stream => RunJson.Write(stream, RunEvaluation.Evaluate(Get(context, run)))), "application/json"))
            .WithName("getRecord").WithSummary("The whole record and its result, as run.json.").Produces<object>().ProducesProblem(404);
        runs.MapGet("/{run}/readings", (string run) => TypedResults.Bytes(Written(stream => ReadingsCsv.Write(stream, Get(context, run))), "text/csv", "readings.csv"))
            .WithName("getReadings").WithSummary("Every sample with the characters that arrived.").Produces(200, contentType: "text/csv").ProducesProblem(404);
        runs.MapGet("/{run}/certificate.pdf", (string run) => CertificateAsync(context, run, "pdf"))
            .WithName("getCertificatePdf").WithSummary("The certificate issued for a run, or its draft.").Produces(200, contentType: "application/pdf").ProducesProblem(404).ProducesProblem(409);
        runs.MapGet("/{run}/certificate.xml", (string run) => CertificateAsync(context, run, "xml"))
            .WithName("getCertificateXml").WithSummary("The same as an open digital calibration certificate.").Produces(200, contentType: "application/xml").ProducesProblem(404).ProducesProblem(409);
        RouteGroupBuilder devices = api.MapGroup("/devices").WithTags("records");
        devices.MapGet("/", () => TypedResults.Json<object>(context.Means.Store.Devices.List().Select(DevicesCommand.Of), Json.Indented))
            .WithName("listDevices").WithSummary("Every device that was ever calibrated here.").Produces<object>();
        devices.MapGet("/{device}", (string device, int? mostMonths) => HistoryAsync(context, device, mostMonths ?? DevicesCommand.UsualMostMonths))
            .WithName("getDevice").WithSummary("One device's runs, drift and proposed interval.").Produces<object>().ProducesProblem(400).ProducesProblem(404);
    }

    private static JsonHttpResult<object> List(RunStore store, int page)
    {
        if (page < 1)
            throw new ProblemException(StatusCodes.Status400BadRequest, "No such page", "Pages count from 1.");
        long count = store.Count();
        long pages = Math.Max(1, (count + PageSize - 1) / PageSize);
        return TypedResults.Json<object>(new { page, pages, count, runs = store.List(page, PageSize).Select(RunListing.Of) }, Json.Indented);
    }

    private static RunRecord Get(ApiContext context, string run) => context.Means.Store.Get(context.Means.Store.Find(Identifiers.Run(run)))!;

    private static RecordView Show(ApiContext context, RunRecord run)
    {
        RunResult result = RunEvaluation.Evaluate(run);
        IReadOnlyList<IssuedCertificate> issued = context.Means.Store.Certificates.OfRun(run.Id);
        return new RecordView(
            run.Id,
            run.Bench,
            DeviceView.Of(run.Device),
            run.Procedure.Name,
            run.StartedUtc,
            run.EndedUtc,
            run.Simulated,
            run.Outcome,
            run.OutcomeReason,
            run.VentConfirmed,
            result.Conformity,
            result.Reasons,
            run.CeilingPascals,
            run.HighestPascals,
            DisplayView.Of(run),
            [.. result.Points.Select(PointView.Of)],
            [.. issued.Select(one => one.Number)],
            issued.Count > 0 || CanDraft(context, run));
    }

    private static bool CanDraft(ApiContext context, RunRecord run) =>
        run.Outcome == RunOutcome.Completed && context.Means.Workshop.Daemon.Laboratory is not null;

    private static async Task<FileContentHttpResult> CertificateAsync(ApiContext context, string id, string format)
    {
        RunRecord run = Get(context, id);
        RunStore store = context.Means.Store;
        string type = $"application/{format}";
        if (store.Certificates.OfRun(run.Id) is [{ } issued, ..])
            return TypedResults.Bytes(CertificateDesk.Bytes(store, issued, format), type);
        if (!CanDraft(context, run))
        {
            throw new ProblemException(
                StatusCodes.Status404NotFound,
                "No certificate",
                run.Outcome == RunOutcome.Completed ? "barostep.toml names no [laboratory] to issue it." : "The run was not completed.");
        }

        using IDisposable turn = await context.TakeTurnAsync();
        return TypedResults.Bytes(CertificateDesk.Written(new CertificateDesk(store, context.Means.Workshop.Daemon.Laboratory!).Draft(run), format), type);
    }

    private static async Task<JsonHttpResult<object>> HistoryAsync(ApiContext context, string device, int mostMonths)
    {
        if (mostMonths < 1)
            throw new ProblemException(StatusCodes.Status400BadRequest, "No interval", "'mostMonths' must be 1 or more.");
        string name = Identifiers.Device(device);
        using IDisposable turn = await context.TakeTurnAsync();
        RunStore store = context.Means.Store;
        return TypedResults.Json(DeviceHistoryReport.Of(store, StateFolder.Device(store, name), mostMonths).ForJson(), Json.Indented);
    }

    private static byte[] Written(Action<Stream> write)
    {
        using var buffer = new MemoryStream();
        write(buffer);
        return buffer.ToArray();
    }
}
