using System.Diagnostics;
using System.Globalization;
using System.Text.RegularExpressions;

namespace Barostep.Daemon.Benchmarks;

/// <summary>
/// Many simulated benches in one daemon for a while, each with a run going on behind real pseudo-terminals and a guard of
/// its own: how late the guards' cycles were, and what processors and memory it took.
/// </summary>
internal static partial class SoakBenchmark
{
    private static readonly TimeSpan Every = TimeSpan.FromSeconds(5);

    public static async Task RunAsync(TextWriter output, TextWriter progress, string shipped, int count, TimeSpan length)
    {
        DirectoryInfo folder = Directory.CreateTempSubdirectory("barostep-soak-");
        var benches = new List<SoakBench>();
        try
        {
            string ports = folder.CreateSubdirectory("ports").FullName;
            string state = Path.Combine(folder.FullName, "state");
            string config = Configure(shipped, Path.Combine(folder.FullName, "config"), count);
            for (int i = 1; i <= count; i++)
                benches.Add(new SoakBench(NameOf(i), ports, (ulong)i));
            using SoakDaemon daemon = await SoakDaemon.StartAsync(config, ports, state);
            await progress.WriteLineAsync($"{count} benches are started; waiting until each is known vented");
            int trips = await daemon.UntilReadyAsync();
            benches.ForEach(bench => bench.Begin(state));
            await WriteAsync(output, "trips while all were started", $"{trips}, acknowledged");
            await SoakAsync(output, progress, daemon, benches, length);
        }
        finally
        {
            benches.ForEach(bench => bench.Dispose());
            folder.Delete(recursive: true);
        }
    }

    private static async Task SoakAsync(TextWriter output, TextWriter progress, SoakDaemon daemon, List<SoakBench> benches, TimeSpan length)
    {
        IReadOnlyList<int> guards = ProcessUse.ChildrenOf(daemon.Id);
        ProcessUse daemonBefore = ProcessUse.Of(daemon.Id);
        double guardsBefore = guards.Sum(one => ProcessUse.Of(one).CpuSeconds);
        var memory = new List<(double Seconds, long Daemon, long Guards)>();
        int started = 0;
        long began = Stopwatch.GetTimestamp();
        while (Stopwatch.GetElapsedTime(began) < length)
        {
            foreach (SoakBench bench in benches.Where(one => one.Trip == Safety.Cause.None))
                started += await daemon.TryStartRunAsync(bench.Name) ? 1 : 0;
            memory.Add((Stopwatch.GetElapsedTime(began).TotalSeconds, ProcessUse.Of(daemon.Id).Bytes, guards.Sum(one => ProcessUse.Of(one).Bytes)));
            await progress.WriteLineAsync(string.Create(
                CultureInfo.InvariantCulture,
                $"{memory[^1].Seconds,6:F0} s   {started} runs started, {benches.Sum(one => one.LateCycles)} late cycles, daemon {Mb(memory[^1].Daemon):F0} MB"));
            await Task.Delay(Every);
        }

        double seconds = Stopwatch.GetElapsedTime(began).TotalSeconds;
        double daemonCpu = ProcessUse.Of(daemon.Id).CpuSeconds - daemonBefore.CpuSeconds;
        double guardsCpu = guards.Sum(one => ProcessUse.Of(one).CpuSeconds) - guardsBefore;
        long cycles = benches.Sum(one => one.Cycles), late = benches.Sum(one => one.LateCycles);
        string trips = string.Join(", ", benches.Where(one => one.Trip != Safety.Cause.None).Select(one => $"{one.Name} {one.Trip}"));
        double[] vents = [.. await Task.WhenAll(benches.Select(one => daemon.VentAsync(one.Name)))];
        Array.Sort(vents);

        await WriteAsync(output, "benches in one daemon", $"{benches.Count} for {seconds / 60:F1} min on {Environment.ProcessorCount} processors; {guards.Count} guards");
        await WriteAsync(output, "runs", $"{started} started; ended: {Words(await daemon.RunsAsync())}; trips: {(trips.Length == 0 ? "none" : trips)}");
        await WriteAsync(output, "cycles of the guards", $"{cycles}, of which more than 20 ms late: {late} ({1e6 * late / Math.Max(1, cycles):F0} in a million)");
        await WriteAsync(output, "worst lateness since start", $"median of the guards {Middle(benches.Select(one => one.WorstLatenessMs)):F1} ms, worst {benches.Max(one => one.WorstLatenessMs):F1} ms");
        await WriteAsync(output, "vent asked of all at once", $"answered in {vents[vents.Length / 2]:F1} ms (median), {vents[^1]:F1} ms (worst)");
        await WriteAsync(output, "processor, of one", $"daemon {100 * daemonCpu / seconds:F1} %, guards {100 * guardsCpu / seconds / benches.Count:F1} % each; the simulators' is not counted");
        await WriteAsync(output, "memory", $"daemon {Mb(memory[^1].Daemon):F0} MB, guards {Mb(memory[^1].Guards) / benches.Count:F0} MB each");
        await WriteAsync(
            output, "memory slope, second half",
            $"daemon {Slope(memory.Select(one => (one.Seconds, one.Daemon))):F1} MB/h, all guards {Slope(memory.Select(one => (one.Seconds, one.Guards))):F1} MB/h");
    }

    /// <summary>The shipped configuration with the demo bench under many names.</summary>
    private static string Configure(string shipped, string folder, int count)
    {
        foreach (string file in Directory.GetFiles(shipped, "*.toml", SearchOption.AllDirectories))
        {
            string copy = Path.Combine(folder, Path.GetRelativePath(shipped, file));
            Directory.CreateDirectory(Path.GetDirectoryName(copy)!);
            File.Copy(file, copy);
        }

        for (int i = 1; i <= count; i++)
            File.Copy(Path.Combine(shipped, "benches", "demo.toml"), Path.Combine(folder, "benches", $"{NameOf(i)}.toml"));
        string settings = Path.Combine(folder, "barostep.toml");
        string names = string.Join(", ", Enumerable.Range(1, count).Select(i => $"\"{NameOf(i)}\""));
        File.WriteAllText(settings, Benches().Replace(File.ReadAllText(settings), $"benches = [{names}]"));
        return folder;
    }

    private static string NameOf(int number) => string.Create(CultureInfo.InvariantCulture, $"bench-{number:D2}");

    private static string Words(IReadOnlyDictionary<string, long> runs) =>
        runs.Count == 0 ? "none" : string.Join(", ", runs.OrderBy(one => one.Key, StringComparer.Ordinal).Select(one => $"{one.Key} {one.Value}"));

    private static double Middle(IEnumerable<double> values)
    {
        double[] ordered = [.. values.Order()];
        return ordered[ordered.Length / 2];
    }

    private static double Mb(long bytes) => bytes / 1024.0 / 1024.0;

    /// <summary>Straight line through the second half, when everything has been compiled and every buffer has its size; MB an hour.</summary>
    private static double Slope(IEnumerable<(double Seconds, long Bytes)> samples)
    {
        (double Seconds, long Bytes)[] all = [.. samples];
        (double Seconds, long Bytes)[] half = all[(all.Length / 2)..];
        double middle = half.Average(one => one.Seconds), level = half.Average(one => one.Bytes);
        double over = half.Sum(one => (one.Seconds - middle) * (one.Bytes - level)), under = half.Sum(one => (one.Seconds - middle) * (one.Seconds - middle));
        return under > 0 ? over / under * 3600 / 1024 / 1024 : 0;
    }

    private static Task WriteAsync(TextWriter output, string what, FormattableString figures) =>
        output.WriteLineAsync($"{what,-28} {figures.ToString(CultureInfo.InvariantCulture)}");

    [GeneratedRegex("^benches = .*$", RegexOptions.Multiline)]
    private static partial Regex Benches();
}
