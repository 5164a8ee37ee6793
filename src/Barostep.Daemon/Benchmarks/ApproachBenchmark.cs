using System.Globalization;
using Barostep.Configuration;
using Barostep.Daemon.Sweeps;
using Barostep.Procedures;
using Barostep.Records;
using Barostep.Simulators;
using Barostep.Simulators.Instruments;

namespace Barostep.Daemon.Benchmarks;

/// <summary>Sweeps on the demo bench with sources that pass their set points by a share of each step, by what is done against it.</summary>
internal static class ApproachBenchmark
{
    private const long SampleMicros = 10_000;

    private static readonly double[] _overshoots = [0, 0.02, 0.04];

    public static void Run(TextWriter output, WorkshopConfiguration workshop)
    {
        output.WriteLine("eleven points up and down, two preloads, leak test; predicted rest");
        output.WriteLine("source passes by   then    one sweep   farthest past a point   points passed too far   marked");
        foreach (double overshoot in _overshoots)
        {
            foreach (OvershootPolicy policy in (OvershootPolicy[])[OvershootPolicy.Flag, OvershootPolicy.Again, OvershootPolicy.Avoid])
                Write(output, workshop, overshoot, policy);
        }
    }

    private static void Write(TextWriter output, WorkshopConfiguration workshop, double overshoot, OvershootPolicy policy)
    {
        Procedure procedure = workshop.Procedures["eleven-point-rest"] with { OnOvershoot = policy };
        (RunRecord record, IReadOnlyList<TrueState> truth) = Sweep(workshop, procedure, overshoot);
        double span = record.Device.SpanPascals;
        double[] passed = [.. record.Points.Zip(record.Points.Skip(1), (before, point) => Passed(before, point, truth) / span)];
        output.WriteLine(string.Create(
            CultureInfo.InvariantCulture,
            $"{overshoot,8:P0} of a step   {policy.ToString().ToLowerInvariant(),-6} {truth[^1].TimeMicros / 6e7,6:F2} min {passed.Max(),14:P3} of span {passed.Count(share => share > procedure.OvershootOfSpan),16} of {passed.Length} {record.Points.Count(point => point.Marks.HasFlag(PointMarks.WrongApproach)),10}"));
    }

    /// <summary>How far the gas was beyond a point on its far side before it was read, Pa; 0 at a point that has no side.</summary>
    private static double Passed(PointRecord before, PointRecord point, IReadOnlyList<TrueState> truth)
    {
        if (before.Direction != point.Direction)
            return 0;
        long from = before.Samples[^1].Indication.AnsweredMicros;
        double sign = point.Direction == SeriesDirection.Ascending ? 1 : -1;
        return truth.Where(one => one.TimeMicros > from && one.TimeMicros <= point.SettledMicros)
            .Select(one => sign * (one.PressurePa - one.AtmospherePa - point.NominalPascals)).DefaultIfEmpty().Max();
    }

    private static (RunRecord Record, IReadOnlyList<TrueState> Truth) Sweep(WorkshopConfiguration workshop, Procedure procedure, double overshoot)
    {
        BenchDescription demo = BenchFile.Load("demo");
        var simulated = new SimulatedBench(
            demo with
            {
                Instruments = [.. demo.Instruments.Select(one => one.Kind == InstrumentKind.Controller ? one with { OvershootShare = overshoot } : one)],
            },
            seed: 1);
        List<TrueState> truth = [];
        simulated.SampleTruth(SampleMicros, truth.Add);
        var job = new SweepJob(workshop.Benches["demo"], workshop.Devices["transmitter-16bar"], procedure, workshop.Origins, "approach", Simulated: true);
        using var place = new EmbeddedPlace(job, simulated, null, DateTimeOffset.UnixEpoch);
        var run = new SweepRun(job, place.Bench, DateTimeOffset.UnixEpoch, place.NowMicros, []);
        run.Begin(place.NowMicros);
        return (new VirtualSweep(run, simulated).Run(CancellationToken.None), truth);
    }
}
