using System.Globalization;
using Barostep.Configuration;
using Barostep.Daemon.Sweeps;
using Barostep.Procedures;
using Barostep.Simulators;

namespace Barostep.Daemon.Benchmarks;

/// <summary>How many devices the demo bench does in a working day, by how long each point is waited for.</summary>
internal static class DayOfWork
{
    private const double DaySeconds = 8 * 3600;

    /// <summary>To take one device off and put the next on: common practice of the trade, no source.</summary>
    private const double ChangeSeconds = 300;

    private const long FixedDwellMicros = 60_000_000;

    public static void Run(TextWriter output, WorkshopConfiguration workshop)
    {
        Procedure plain = workshop.Procedures["eleven-point"];
        // Waits a minute at every point and asks for nothing else.
        Procedure waiting = plain with
        {
            Settle = plain.Settle with { MinimumDwellMicros = FixedDwellMicros, SlopeOfSpanPerSecond = 1, BandOfSpan = 0.01 },
        };
        output.WriteLine("eleven points up and down, two preloads, leak test   one device   unattended   with 5 min to change");
        Write(output, "fixed dwell 60 s", workshop, waiting);
        Write(output, "band, slope, 10 s", workshop, plain);
        Write(output, "predicted rest", workshop, workshop.Procedures["eleven-point-rest"]);
    }

    private static void Write(TextWriter output, string name, WorkshopConfiguration workshop, Procedure procedure)
    {
        double seconds = Seconds(workshop, procedure);
        output.WriteLine(string.Create(
            CultureInfo.InvariantCulture,
            $"{name,-52} {seconds / 60,6:F1} min {DaySeconds / seconds,12:F0} {DaySeconds / (seconds + ChangeSeconds),24:F0}"));
    }

    private static double Seconds(WorkshopConfiguration workshop, Procedure procedure)
    {
        var job = new SweepJob(
            workshop.Benches["demo"],
            workshop.Devices["transmitter-16bar"],
            procedure,
            workshop.Origins,
            "day of work",
            Simulated: true);
        SimulatedBench simulated = SimulatedBench.Load("demo", 1);
        DateTimeOffset started = DateTimeOffset.UnixEpoch;
        using var place = new EmbeddedPlace(job, simulated, null, started);
        var run = new SweepRun(job, place.Bench, started, place.NowMicros, []);
        run.Begin(place.NowMicros);
        new VirtualSweep(run, simulated).Run(CancellationToken.None);
        return simulated.NowMicros * 1e-6;
    }
}
