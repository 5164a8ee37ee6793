using System.Diagnostics;
using System.Globalization;

namespace Barostep.Daemon.Benchmarks;

/// <summary>
/// From the arrival of a reply above the ceiling to the first byte of the vent command, over pseudo-terminals: the time
/// that the requirement limits to 20 ms, beside a program that only reads and writes.
/// </summary>
internal static class GuardBenchmark
{
    public const string Half = "half";
    public const string Bare = "bare";
    public const string Busy = "busy";

    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(10);
    private static readonly TimeSpan Startup = TimeSpan.FromSeconds(3);
    private static readonly TimeSpan Short = TimeSpan.FromMilliseconds(5);

    /// <summary>After a vent that was heard, until the bench is proved to be at rest.</summary>
    private static readonly TimeSpan Rest = TimeSpan.FromMilliseconds(600);

    private static readonly TimeSpan Period = TimeSpan.FromMilliseconds(50);

    public static void Run(TextWriter output, TimeSpan length)
    {
        output.WriteLine("from the last byte of a reply above the ceiling to the first byte of the vent command, over pseudo-terminals");
        output.WriteLine("  what                                     times   median ms   p99 ms   worst ms");
        Report(output, "a bare read, then a write", Measure(Bare, length, [], BareOnce));
        Report(output, "the guard half, idle", Measure(Half, length, [], Vent));
        Report(output, "  during forced garbage collections", Measure(Half, length, ["--collect"], Vent));
        using Process busy = Start(Busy, string.Empty, []);
        Report(output, "a bare read, with a core loaded", Measure(Bare, length, [], BareOnce));
        Report(output, "the guard half, with a core loaded", Measure(Half, length, [], Vent));
        End(busy);
    }

    private static TimeSpan? BareOnce(ScriptedInstruments instruments, Random random)
    {
        instruments.Serve(Short * (1 + random.NextDouble()));
        return instruments.MeasureBare(Patience);
    }

    /// <summary>At a chance moment of the cycle, when nothing else is being said.</summary>
    private static TimeSpan? Vent(ScriptedInstruments instruments, Random random)
    {
        long began = Stopwatch.GetTimestamp();
        while (!instruments.IsQuiet && Stopwatch.GetElapsedTime(began) < Patience)
            instruments.Serve(Short);
        instruments.Serve(Rest + (Period * random.NextDouble()));
        return instruments.MeasureVent(Patience);
    }

    private static double[] Measure(string role, TimeSpan length, string[] more, Func<ScriptedInstruments, Random, TimeSpan?> once)
    {
        DirectoryInfo folder = Directory.CreateTempSubdirectory("barostep-guard-benchmark-");
        try
        {
            var instruments = new ScriptedInstruments(folder.FullName);
            using Process subject = Start(role, folder.FullName, more);
            var random = new Random(1);
            instruments.Serve(Startup);
            // The first ones are compiled on the way.
            for (int i = 0; i < 3; i++)
                once(instruments, random);
            var measured = new List<double>();
            long began = Stopwatch.GetTimestamp();
            while (Stopwatch.GetElapsedTime(began) < length || measured.Count == 0)
            {
                measured.Add((once(instruments, random) ?? throw new RefusedException($"no vent came from '{role}'")).TotalMilliseconds);
            }

            instruments.Dispose();
            End(subject);
            return [.. measured.Order()];
        }
        finally
        {
            folder.Delete(recursive: true);
        }
    }

    private static void Report(TextWriter output, string what, double[] milliseconds) => output.WriteLine(string.Create(
        CultureInfo.InvariantCulture,
        $"  {what,-38} {milliseconds.Length,7}   {At(milliseconds, 0.5),9:F3}   {At(milliseconds, 0.99),6:F3}   {milliseconds[^1],8:F3}"));

    private static double At(double[] ordered, double share) => ordered[(int)(share * (ordered.Length - 1))];

    private static Process Start(string role, string ports, string[] more)
    {
        ProcessStartInfo start = ProgramBeside.Start("barostep");
        start.RedirectStandardInput = true;
        foreach (string argument in new[] { "benchmark", "guard", "--role", role, "--on", ports }.Concat(more))
            start.ArgumentList.Add(argument);
        return Process.Start(start)!;
    }

    private static void End(Process process)
    {
        process.StandardInput.Close();
        if (!process.WaitForExit(Patience))
            process.Kill();
    }
}
