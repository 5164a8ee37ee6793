using System.Diagnostics;
using System.Globalization;
using Barostep.Configuration;
using Barostep.Procedures;
using Barostep.Records;

namespace Barostep.Daemon.Benchmarks;

/// <summary>A store of many synthetic runs: how fast it grows, how large it is, how long a look takes.</summary>
internal static class RecordsBenchmark
{
    private const int RunsPerTransaction = 250;
    private const int RunsPerDevice = 50;
    private const int PageSize = 50;
    private const int Looks = 20;

    /// <param name="folder">Folder for the store; a store that is there already is refused.</param>
    public static void Run(TextWriter output, WorkshopConfiguration workshop, int runs, ulong seed, string folder)
    {
        Directory.CreateDirectory(folder);
        string path = Path.Combine(folder, "records.sqlite");
        if (File.Exists(path))
            throw new RefusedException($"{path} exists already; name an empty folder with --state");
        using RunStore store = RunStore.Open(path);
        var synthetic = new SyntheticRuns(
            workshop.Devices["transmitter-16bar"], workshop.Procedures["eleven-point"],
            StandardsInUse.Record(workshop.Benches["demo"], new DateOnly(2026, 4, 1), allowance: null), seed, Math.Max(1, runs / RunsPerDevice));
        Fill(output, store, synthetic, runs);
        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"size: {new FileInfo(path).Length / 1e6:F1} MB, {new FileInfo(path).Length / (double)runs:F0} bytes a run"));
        int last = Math.Max(1, runs / PageSize);
        Look(output, "first page of runs list", () => store.List(1, PageSize).Count);
        Look(output, "last page of runs list", () => store.List(last, PageSize).Count);
        DeviceIdentity device = DeviceIdentity.Of(synthetic.Device(0));
        Look(output, "list of one device's runs", () => store.DeviceHistory(device.Manufacturer, device.Model, device.SerialNumber).Count);
        Look(output, "full records of one device", () => store.RecordsOf(device).Count);
        Look(output, "one device's history with its drift", () => Commands.DeviceHistoryReport.Of(store, device, 24).Runs);
        Look(output, "one run found by its beginning", () => store.Get(store.Find(SyntheticRuns.Id(seed, runs - 1)[..13]))!.Points.Count);
    }

    private static void Fill(TextWriter output, RunStore store, SyntheticRuns synthetic, int runs)
    {
        long began = Stopwatch.GetTimestamp();
        TimeSpan busy = Environment.CpuUsage.TotalTime;
        for (int first = 0; first < runs; first += RunsPerTransaction)
        {
            int count = Math.Min(RunsPerTransaction, runs - first);
            store.SaveAll([.. Enumerable.Range(first, count).Select(synthetic.Make)]);
            output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"kept {first + count}"));
            output.Flush();
        }

        double seconds = Stopwatch.GetElapsedTime(began).TotalSeconds;
        double processor = (Environment.CpuUsage.TotalTime - busy).TotalSeconds;
        output.WriteLine(string.Create(CultureInfo.InvariantCulture,
            $"insert: {runs} runs in {seconds:F1} s ({processor:F1} s of processor), {runs / seconds:F0} runs/s, {runs * synthetic.SamplesPerRun / seconds:F0} samples/s"));
    }

    private static void Look(TextWriter output, string what, Func<int> look)
    {
        int rows = look();
        double[] milliseconds = new double[Looks];
        TimeSpan busy = Environment.CpuUsage.TotalTime;
        for (int i = 0; i < Looks; i++)
        {
            long began = Stopwatch.GetTimestamp();
            rows = look();
            milliseconds[i] = Stopwatch.GetElapsedTime(began).TotalMilliseconds;
        }

        double processor = (Environment.CpuUsage.TotalTime - busy).TotalMilliseconds / Looks;
        Array.Sort(milliseconds);
        output.WriteLine(string.Create(CultureInfo.InvariantCulture,
            $"{what}: {milliseconds[Looks / 2]:F1} ms median, {milliseconds[^1]:F1} ms worst of {Looks}, {processor:F1} ms of processor, {rows} rows"));
    }
}
