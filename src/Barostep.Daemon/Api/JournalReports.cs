using System.Text.Json;
using Barostep.Configuration;
using Barostep.Daemon.Live;
using Barostep.Daemon.Output;
using Barostep.Safety;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;

namespace Barostep.Daemon.Api;

/// <summary>Sums up the journal that a bench's guard writes, for the reviewer.</summary>
internal sealed class JournalReports(string stateFolder) : IDisposable
{
    /// <summary>Some seconds of reading; a longer journal is read by the command, which nobody waits behind.</summary>
    private const long LargestFile = 128 * 1024 * 1024;

    private readonly SemaphoreSlim _turn = new(1);
    private readonly Dictionary<string, (long Length, object Report)> _made = [];

    /// <summary>The state folder.</summary>
    public string State => stateFolder;

    /// <exception cref="ProblemException">The journal is too long to be read here, or there is none.</exception>
    public async Task<JsonHttpResult<object>> ReportAsync(BenchBoard board)
    {
        string folder = Path.Combine(stateFolder, "journals", board.Bench.Name);
        string? newest = Directory.Exists(folder)
            ? Directory.GetFiles(folder, "journal-*.jsonl").Order(StringComparer.Ordinal).LastOrDefault()
            : null;
        if (newest is null)
            throw new ProblemException(StatusCodes.Status404NotFound, "No journal", $"Bench {board.Bench.Name} has none yet.");
        long length = new FileInfo(newest).Length;
        if (length > LargestFile)
        {
            throw new ProblemException(
                StatusCodes.Status409Conflict, "Too long for a page", $"The journal has {length / 1024 / 1024} MB; read it with: barostep journal report {newest}");
        }

        await _turn.WaitAsync();
        try
        {
            if (!_made.TryGetValue(newest, out (long Length, object Report) made) || made.Length != length)
                _made[newest] = made = (length, await Task.Run(() => Read(newest, board)));
            return TypedResults.Json(made.Report, Commands.Json.Indented);
        }
        finally
        {
            _turn.Release();
        }
    }

    public void Dispose() => _turn.Dispose();

    private static object Read(string path, BenchBoard board)
    {
        var reading = new JournalFiles([path]);
        try
        {
            var report = JournalReport.From(reading.Entries());
            return new
            {
                file = Path.GetFileName(path),
                // The guard goes on writing: the end of a file that is being written is no fault.
                report = ReportJson.Of(report, reading.Atmosphere ?? BenchLimits.AtmosphereOf(board.Bench)),
            };
        }
        catch (JsonException problem)
        {
            throw new ProblemException(StatusCodes.Status409Conflict, "Journal not understood", problem.Message);
        }
    }
}
