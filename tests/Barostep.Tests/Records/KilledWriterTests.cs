using System.Diagnostics;
using System.Globalization;
using Barostep.Records;

namespace Barostep.Tests.Records;

/// <summary>A process of our own that fills a store and is killed in the middle of it, as a power cut would.</summary>
public sealed class KilledWriterTests : IDisposable
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(120);

    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("barostep-killed-");

    public void Dispose() => _folder.Delete(recursive: true);

    [Fact]
    public async Task What_was_said_to_be_kept_is_there_and_nothing_is_there_by_halves()
    {
        var start = new ProcessStartInfo("dotnet")
        {
            ArgumentList =
            {
                Path.Combine(AppContext.BaseDirectory, "Barostep.Daemon.dll"), "benchmark", "records", "--runs", "1000000", "--state", _folder.FullName,
            },
            RedirectStandardOutput = true,
        };
        int kept = 0;
        using (Process writer = Process.Start(start)!)
        {
            try
            {
                while (kept < 500)
                {
                    string? line = await writer.StandardOutput.ReadLineAsync().WaitAsync(Patience);
                    kept = int.Parse(line!.Split(' ')[1], CultureInfo.InvariantCulture);
                }
            }
            finally
            {
                writer.Kill();
            }

            await writer.WaitForExitAsync().WaitAsync(Patience);
            // It may have kept more between the last line that was read and its end.
            kept = (await writer.StandardOutput.ReadToEndAsync()).Split('\n', StringSplitOptions.RemoveEmptyEntries)
                .Where(line => line.StartsWith("kept ", StringComparison.Ordinal) && line.Length > 5)
                .Select(line => int.Parse(line[5..], CultureInfo.InvariantCulture))
                .Append(kept)
                .Max();
        }

        string path = Path.Combine(_folder.FullName, "records.sqlite");
        using RunStore store = RunStore.Open(path);
        StoreContents contents = StoreBackup.Check(path);

        Assert.InRange(contents.Rows["runs"], kept, long.MaxValue);
        Assert.Equal(contents.Rows["runs"], contents.Rows["endings"]);
        Assert.Equal(contents.Rows["runs"] * 22, contents.Rows["points"]);
        Assert.Equal(RunOutcome.Completed, store.Get(store.List(1, 1)[0].Id)!.Outcome);
    }
}
