using System.Globalization;
using Barostep.Configuration;
using Barostep.Lines;
using Barostep.Daemon.Sweeps;
using Barostep.Instruments;

namespace Barostep.Daemon.Benchmarks;

/// <summary>Round trips over a pseudo-terminal at a paced speed, as a share of what the wire and the instrument allow.</summary>
internal static class LineBenchmark
{
    /// <summary>The simulated instrument's time between the last byte of a request and the first of its reply.</summary>
    private const double TurnaroundSeconds = 0.002;

    /// <summary>Bytes of one pressure query of the fixed-width dialect and of its reply, terminators included.</summary>
    private const int RequestBytes = 7, ReplyBytes = 21;

    private const double BitsPerByte = 10;

    public static void Run(TextWriter output, WorkshopConfiguration workshop, TimeSpan length)
    {
        output.WriteLine("pressure queries over a pseudo-terminal, simulator in another process");
        output.WriteLine("  baud   exchanges/s   median ms   p99 ms   share of wire   share of wire and turnaround");
        foreach (int baud in new[] { 9600, 19200, 115200 })
        {
            double[] exchanges = Measure(workshop.Benches["demo"].Reference with { Baud = baud }, baud, length, out double perSecond);
            double wire = (RequestBytes + ReplyBytes) * BitsPerByte / baud;
            output.WriteLine(string.Create(
                CultureInfo.InvariantCulture,
                $"{baud,6}   {perSecond,11:F1}   {At(exchanges, 0.5) * 1000,9:F2}   {At(exchanges, 0.99) * 1000,6:F2}   {perSecond * wire,13:P0}   {perSecond * (wire + TurnaroundSeconds),28:P0}"));
        }
    }

    private static double[] Measure(FittedInstrument fitted, int baud, TimeSpan length, out double perSecond)
    {
        using BenchProcess bench = BenchProcess.Start("demo", 1, truthPath: null, baud);
        var driver = new InstrumentDriver(fitted);
        if (!LineAddress.TryParse(Path.Combine(bench.Ports, fitted.Port), out LineAddress address, out string error))
            throw new RefusedException(error);
        using var reported = new AutoResetEvent(false);
        using var pump = new LinePump([driver], address, TimeProvider.System, () => reported.Set());
        driver.Poll(Capability.ReadPressure, 1);
        pump.Start();
        var seconds = new List<double>();
        long first = 0, last = 0;
        while (first == 0 || last - first < length.TotalMicroseconds)
        {
            if (!reported.WaitOne(TimeSpan.FromSeconds(5)))
                throw new RefusedException($"the simulated instrument does not answer at {baud} baud. {driver.LineTrouble}");
            while (driver.TryTake(out ExchangeReport report))
            {
                if (report is not { Capability: Capability.ReadPressure, Outcome: ExchangeOutcome.Answered })
                    continue;
                if (first == 0)
                    first = report.AnsweredMicros;
                last = report.AnsweredMicros;
                seconds.Add((report.AnsweredMicros - report.AskedMicros) / 1e6);
            }
        }

        perSecond = (seconds.Count - 1) / ((last - first) / 1e6);
        return [.. seconds.Order()];
    }

    private static double At(double[] ordered, double share) => ordered[(int)(share * (ordered.Length - 1))];
}
