using Barostep.Daemon.Simulation.Faults;
using Barostep.Procedures;
using Barostep.Records;
using Barostep.Simulators;

namespace Barostep.Daemon.Simulation.Checkers;

/// <summary>
/// I8, second half: in a run that completed, every sample that counts tells the true pressure within what the sensors are
/// good for, and every point that is called settled was so in truth.
/// </summary>
internal sealed class SampleChecker : Checker
{
    /// <summary>Offset, gain, six standard deviations of noise, and what the gas moves in a sample's age while settled, Pa.</summary>
    private const double SensorPascals = 250;

    /// <summary>Two sensors may differ by this share of the way to the ceiling.</summary>
    private const double AgreementShare = 0.005;

    /// <summary>A lie that ends sooner than three pairs of readings need cannot be noticed by them, µs.</summary>
    private const long PairsMicros = 1_500_000;

    private readonly TruthLog _truth = new();
    private SweepTimes _times;
    private bool _isUnsure;
    private bool _lies;

    public override string Name => "I8 sample";

    public override void Look(in TrueState truth) => _truth.Look(truth);

    public override void RunBegan(Sweeps.SweepJob job) => _times = new SweepTimes(job.Procedure, NowMicros - World.MonotonicMicros);

    public override void FaultBegan(PlannedFault fault)
    {
        bool lies = fault.Kind.Reach.HasFlag(Reach.ReferenceLies);
        _lies |= lies;
        _isUnsure |= lies && (fault.DurationMicros < PairsMicros || fault.Kind.Name is "reference-noise" or "reference-lag" || World.Faults.Touched.HasFlag(Reach.SourceLies));
        _isUnsure |= fault.Kind.Reach.HasFlag(Reach.ClockMoves);
    }

    public override void RunEnded(RunRecord record)
    {
        if (record.Outcome != RunOutcome.Completed || _isUnsure)
            return;
        foreach (PointRecord point in record.Points)
        {
            CheckSamples(point.Samples, $"point {point.Index}");
            if (!point.Marks.HasFlag(PointMarks.Unsettled))
                CheckSettled(point, record);
        }

        foreach (ZeroRecord zero in record.Zeros)
            CheckSamples(zero.Samples, "zero");
    }

    private void CheckSamples(IReadOnlyList<Sample> samples, string where)
    {
        foreach (Sample sample in samples.Where(sample => !sample.Void))
        {
            (double lowest, double highest) = _truth.Between(
                _times.BenchTimeAt(sample.Reference.AskedMicros) - 100_000, _times.BenchTimeAt(sample.Reference.AnsweredMicros));
            double told = sample.Reference.Value;
            if (told < lowest - Tolerance || told > highest + Tolerance)
                Report($"{where}: a sample says {told:0} Pa where the gas was between {lowest:0} and {highest:0} Pa gauge");
        }
    }

    private void CheckSettled(PointRecord point, RunRecord record)
    {
        StabilityCriterion settle = _times.Procedure.Settle;
        long settled = _times.BenchTimeAt(point.SettledMicros);
        if (point.SettledMicros - point.ReachedMicros < settle.MinimumDwellMicros)
            Report($"point {point.Index} was read {point.SettledMicros - point.ReachedMicros} µs after it was reached; {settle.MinimumDwellMicros} µs are demanded");
        double span = record.Device.SpanPascals;
        bool vented = point.NominalPascals == record.Device.FromPascals;
        double band = (vented ? World.Setup.Limits.SafeBand.Pascals : settle.BandOfSpan * span) + Tolerance;
        (double lowest, double highest) = _truth.Between(settled - settle.WindowMicros + 100_000, settled - 100_000);
        if (lowest < point.NominalPascals - band || highest > point.NominalPascals + band)
            Report($"point {point.Index} at {point.NominalPascals:0} Pa counts as settled while the gas was between {lowest:0} and {highest:0} Pa gauge");
    }

    private double Tolerance => SensorPascals + (_lies ? AgreementShare * (World.Setup.Limits.EffectiveCeiling - World.Setup.Limits.Atmosphere).Pascals : 0);

    /// <summary>The procedure of the run that goes on, and by how much the computer's clock is behind the bench's.</summary>
    private readonly record struct SweepTimes(Procedure Procedure, long LagMicros)
    {
        public long BenchTimeAt(long micros) => micros + LagMicros;
    }
}
