using System.Text.Json;
using Barostep.Records;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Mvc;
using Microsoft.Extensions.Logging;

namespace Barostep.Daemon.Api;

/// <summary>Something that was asked for and is not done, with the status that says so.</summary>
internal sealed class ProblemException(int status, string title, string detail) : Exception(detail)
{
    public int Status { get; } = status;

    public string Title { get; } = title;
}

/// <summary>Errors as RFC 9457 has them: what was found and what to write instead, never how the program is made.</summary>
internal static class Problems
{
    public const string ContentType = "application/problem+json";

    /// <summary>Turns what is thrown below into a problem.</summary>
    public static async Task CatchAsync(HttpContext context, RequestDelegate next, ILogger log)
    {
        try
        {
            await next(context);
        }
        catch (Exception error) when (!context.Response.HasStarted && !context.RequestAborted.IsCancellationRequested)
        {
            (int status, string title, string detail) = Of(error);
            if (status == StatusCodes.Status500InternalServerError)
                log.LogError(error, "{Method} {Path} failed", context.Request.Method, context.Request.Path);
            await WriteAsync(context, status, title, detail);
        }
        catch (OperationCanceledException) when (context.RequestAborted.IsCancellationRequested)
        {
            // Who asked has gone; there is nobody to tell.
        }
    }

    public static Task WriteAsync(HttpContext context, int status, string title, string detail)
    {
        context.Response.StatusCode = status;
        var problem = new ProblemDetails { Status = status, Title = title, Detail = detail, Instance = context.Request.Path };
        return context.Response.WriteAsJsonAsync(problem, ApiJson.Options, ContentType);
    }

    private static (int Status, string Title, string Detail) Of(Exception error) => error switch
    {
        ProblemException problem => (problem.Status, problem.Title, problem.Message),
        RefusedException => (StatusCodes.Status409Conflict, "Refused", error.Message),
        RunStoreException => (StatusCodes.Status404NotFound, "Not in the records", error.Message),
        BadHttpRequestException { InnerException: JsonException json } => (StatusCodes.Status400BadRequest, "Not understood", Words(json)),
        BadHttpRequestException bad => (bad.StatusCode, "Not understood", bad.Message),
        _ => (StatusCodes.Status500InternalServerError, "Internal fault", "This is a fault of the program; its log says more."),
    };

    private static string Words(JsonException json) =>
        $"The body is no JSON of the expected form{(json.Path is { Length: > 1 } path ? $", at {path}" : string.Empty)}; /openapi/v1.json says what to write.";
}
