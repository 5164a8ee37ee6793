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
    private readonly Dictionary<(string Asked, int Status), DateTimeOffset> _unproved = [];

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
        if (caller.Token is null && (IsNobodysRefusal(caller, action) || IsRepeated(action)))
            return;
        _asked.Writer.TryWrite(action);
    }

    /// <summary>Whoever can reach the port could fill the disk with what was refused, and nothing was done.</summary>
    private static bool IsNobodysRefusal(Caller caller, ActionRecord action) => caller.FromNetwork && action.Status is >= 400 and < 500;

    private bool IsRepeated(ActionRecord action)
    {
        lock (_gate)
        {
            if (_unproved.TryGetValue((action.Asked, action.Status), out DateTimeOffset lastUtc) && action.AtUtc - lastUtc < Often)
                return true;
            if (_unproved.Count == MostTogether)
                _unproved.Clear();
            _unproved[(action.Asked, action.Status)] = action.AtUtc;
            return false;
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
