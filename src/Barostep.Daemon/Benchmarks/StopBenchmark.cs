using System.Diagnostics;
using System.Globalization;
using System.Text.RegularExpressions;

namespace Barostep.Daemon.Benchmarks;

/// <summary>Time from asking for a vent over HTTP to the answer that the guard was told, with and without a crowd that looks on.</summary>
internal static partial class StopBenchmark
{
    private const int Streams = 200;
    private const int Hammers = 8;

    /// <summary>Ten a second: a person presses more slowly.</summary>
    private static readonly TimeSpan Between = TimeSpan.FromMilliseconds(100);

    public static async Task RunAsync(TextWriter output, TimeSpan length)
    {
        using Process daemon = StartDaemon();
        try
        {
            using var client = new HttpClient { BaseAddress = new Uri(await AddressAsync(daemon)) };
            while (!(await client.GetStringAsync("/api/v1/benches/demo")).Contains("\"guardConnected\":true", StringComparison.Ordinal))
                await Task.Delay(Between);
            await output.WriteLineAsync("vents over HTTP on the loopback address, demo bench; the guard is a process of its own");
            await output.WriteLineAsync("                                     vents   median ms   p99 ms   worst ms");
            await WriteAsync(output, "nobody else", await MeasureAsync(client, length));
            using var enough = new CancellationTokenSource();
            Task[] crowd =
            [
                .. Enumerable.Range(0, Streams).Select(_ => LookOnAsync(client.BaseAddress, enough.Token)),
                .. Enumerable.Range(0, Hammers).Select(_ => HammerAsync(client.BaseAddress, enough.Token)),
            ];
            await WriteAsync(output, $"{Streams} streams, {Hammers} that hammer", await MeasureAsync(client, length));
            await enough.CancelAsync();
            await Task.WhenAll(crowd);
        }
        finally
        {
            daemon.Kill(entireProcessTree: true);
        }
    }

    private static async Task<double[]> MeasureAsync(HttpClient client, TimeSpan length)
    {
        var took = new List<double>();
        long began = Stopwatch.GetTimestamp();
        while (Stopwatch.GetElapsedTime(began) < length)
        {
            long asked = Stopwatch.GetTimestamp();
            using HttpResponseMessage answer = await client.PostAsync("/api/v1/benches/demo/vent", null);
            answer.EnsureSuccessStatusCode();
            took.Add(Stopwatch.GetElapsedTime(asked).TotalMilliseconds);
            await Task.Delay(Between);
        }

        return [.. took.Order()];
    }

    private static async Task LookOnAsync(Uri address, CancellationToken enough)
    {
        using var client = new HttpClient { BaseAddress = address };
        byte[] buffer = new byte[16 * 1024];
        try
        {
            using Stream stream = await client.GetStreamAsync("/api/v1/benches/demo/live", enough);
            while (await stream.ReadAsync(buffer, enough) > 0)
            {
            }
        }
        catch (OperationCanceledException)
        {
            // Enough was seen.
        }
    }

    private static async Task HammerAsync(Uri address, CancellationToken enough)
    {
        using var client = new HttpClient { BaseAddress = address };
        try
        {
            while (true)
                (await client.GetAsync("/api/v1/benches/demo/limits", enough)).Dispose();
        }
        catch (OperationCanceledException)
        {
            // Enough was asked.
        }
    }

    private static Task WriteAsync(TextWriter output, string crowd, double[] took) => output.WriteLineAsync(string.Create(
        CultureInfo.InvariantCulture,
        $"{crowd,-36} {took.Length,5}   {took[took.Length / 2],9:F2}   {took[(int)(0.99 * (took.Length - 1))],6:F2}   {took[^1],8:F2}"));

    private static Process StartDaemon()
    {
        ProcessStartInfo start = ProgramBeside.Start("barostep");
        start.RedirectStandardError = true;
        foreach (string argument in new[] { "serve", "--demo", "--port", "0" })
            start.ArgumentList.Add(argument);
        return Process.Start(start)!;
    }

    private static async Task<string> AddressAsync(Process daemon)
    {
        while (await daemon.StandardError.ReadLineAsync() is { } line)
        {
            if (Address().Match(line) is { Success: true } found)
            {
                // What it tells from now on must not fill the pipe and stop it.
                _ = daemon.StandardError.BaseStream.CopyToAsync(Stream.Null);
                return found.Groups[1].Value;
            }
        }

        throw new RefusedException("the daemon did not start");
    }

    [GeneratedRegex("^page (http://[^/]+)/")]
    private static partial Regex Address();
}
