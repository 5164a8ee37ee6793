using System.Threading.Channels;
using Barostep.Records;
using Microsoft.AspNetCore.Http;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;

namespace Barostep.Daemon.Access;

/// <summary>Writes down who asked for what, behind their backs: a vent must not wait for a disk.</summary>
internal sealed class ActionLog(RunStore store, TimeProvider time, ILogger<ActionLog> log) : BackgroundService
{
    /// <summary>Of what is asked again and again without a token, one entry in this time is enough.</summary>
    private static readonly TimeSpan Often = TimeSpan.FromSeconds(1);

    private const int MostWaiting = 4096;
    private const int MostTogether = 256;
    private const int LongestPath = 200;

    private readonly Channel<ActionRecord> _asked = Channel.CreateBounded<ActionRecord>(
        new BoundedChannelOptions(MostWaiting) { FullMode = BoundedChannelFullMode.DropWrite, SingleReader = true });

    private readonly Lock _gate = new();
    private (string Asked, int Status, DateTimeOffset AtUtc) _lastUnproved;

    /// <summary>Lets a request through, and notes it once it is answered where it asked for more than a look.</summary>
    public async Task NoteAsync(HttpContext http, RequestDelegate next)
    {
        await next(http);
        bool looks = HttpMethods.IsGet(http.Request.Method) || HttpMethods.IsHead(http.Request.Method) || HttpMethods.IsOptions(http.Request.Method);
        if (!looks && http.Features.Get<Caller>() is { } caller)
            Note(http, caller);
    }

    private void Note(HttpContext http, Caller caller)
    {
        string path = http.Request.Path.Value ?? string.Empty;
        var action = new ActionRecord(
            time.GetUtcNow(),
            caller.Name,
            caller.Token is not null,
            http.Connection.RemoteIpAddress?.ToString() ?? string.Empty,
            $"{http.Request.Method} {(path.Length > LongestPath ? path[..LongestPath] : path)}",
            http.Response.StatusCode);
        if (caller.Token is null && IsRepeated(action))
            return;
        _asked.Writer.TryWrite(action);
    }

    private bool IsRepeated(ActionRecord action)
    {
        lock (_gate)
        {
            bool repeated = _lastUnproved.Asked == action.Asked && _lastUnproved.Status == action.Status && action.AtUtc - _lastUnproved.AtUtc < Often;
            if (!repeated)
                _lastUnproved = (action.Asked, action.Status, action.AtUtc);
            return repeated;
        }
    }

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        try
        {
            while (await _asked.Reader.WaitToReadAsync(stoppingToken))
                Write();
        }
        catch (OperationCanceledException)
        {
            // What was asked before the end is kept too.
            Write();
        }
    }

    private void Write()
    {
        var together = new List<ActionRecord>();
        while (_asked.Reader.TryRead(out ActionRecord? action))
        {
            together.Add(action);
            if (together.Count == MostTogether)
                Flush(together);
        }

        Flush(together);
    }

    private void Flush(List<ActionRecord> together)
    {
        if (together.Count == 0)
            return;
        try
        {
            store.Actions.Add(together);
        }
        catch (RunStoreException failed)
        {
            log.LogError("{Count} actions could not be kept: {Reason}", together.Count, failed.Message);
        }

        together.Clear();
    }
}
