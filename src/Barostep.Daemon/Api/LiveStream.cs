using System.Text.Json;
using Barostep.Daemon.Access;
using Barostep.Daemon.Live;
using Microsoft.AspNetCore.Http;

namespace Barostep.Daemon.Api;

/// <summary>One bench as server-sent events, for as long as somebody looks on.</summary>
internal static class LiveStream
{
    /// <summary>More than any workshop has screens; each costs a socket and two writes a second at least.</summary>
    private const int MostStreams = 256;

    /// <summary>Who has taken nothing for so long has gone, or stands in the way.</summary>
    private static readonly TimeSpan LongestWrite = TimeSpan.FromSeconds(5);

    /// <summary>Makes the next frame of a bench; the points' bytes stay the same object while the points do.</summary>
    public static LiveFrame Make(BenchBoard board, LiveFrame? before)
    {
        byte[] live = JsonSerializer.SerializeToUtf8Bytes(BenchView.Of(board), ApiJson.Options);
        byte[] points = JsonSerializer.SerializeToUtf8Bytes(BenchReads.Points(board), ApiJson.Options);
        return new LiveFrame(live, before is not null && before.Points.AsSpan().SequenceEqual(points) ? before.Points : points);
    }

    public static async Task SendAsync(ApiContext context, BenchBoard board, HttpContext http)
    {
        using IDisposable? place = context.TryTakeStream(MostStreams);
        if (place is null)
        {
            http.Response.Headers.RetryAfter = "5";
            throw new ProblemException(StatusCodes.Status503ServiceUnavailable, "Too many look on", $"{MostStreams} live streams are open; close one.");
        }

        http.Response.ContentType = "text/event-stream";
        using var until = CancellationTokenSource.CreateLinkedTokenSource(http.RequestAborted, context.Stopping);
        byte[]? points = null;
        AccessToken? token = Caller.Of(http).Token;
        try
        {
            // Who looks on does so by one request, however long: a token that was taken back ends it.
            while (token is null || context.Access.StillHolds(token))
            {
                LiveFrame frame = await context.Feed.NextAsync(board.Bench.Name, until.Token);
                await SendAsync(http, "live", frame.Live, until.Token);
                if (!ReferenceEquals(points, frame.Points))
                    await SendAsync(http, "points", frame.Points, until.Token);
                points = frame.Points;
            }
        }
        catch (OperationCanceledException)
        {
            // The daemon stops, who looked on has gone, or takes nothing any more.
            http.Abort();
        }
    }

    private static async Task SendAsync(HttpContext http, string name, byte[] json, CancellationToken until)
    {
        using var slow = CancellationTokenSource.CreateLinkedTokenSource(until);
        slow.CancelAfter(LongestWrite);
        await http.Response.WriteAsync($"event: {name}\ndata: ", slow.Token);
        await http.Response.Body.WriteAsync(json, slow.Token);
        await http.Response.WriteAsync("\n\n", slow.Token);
        await http.Response.Body.FlushAsync(slow.Token);
    }
}
