using Barostep.Configuration;
using Barostep.Daemon.Simulation.Faults;
using Barostep.Evaluation;
using Barostep.Evaluation.Uncertainty;
using Barostep.Procedures;
using Barostep.Records;
using Barostep.Simulators;

namespace Barostep.Daemon.Simulation.Checkers;

/// <summary>
/// No accepted result is further from the truth than it says: the true error of a point is what the device's true output
/// made of the true pressure. More than its expanded uncertainty off is counted, since one in twenty may be; more than
/// twice that is a violation.
/// </summary>
internal sealed class ResultChecker : Checker
{
    private const double MostTimesUncertainty = 2;

    /// <summary>With these a reading is wrong in a way that two sensors of one pressure cannot show.</summary>
    private const Reach Excused = Reach.ReferenceLies | Reach.DeviceFails | Reach.ClockMoves;

    private const double LowestAmperes = 4e-3;
    private const double SpanAmperes = 16e-3;

    private readonly List<(float GaugePascals, float Amperes)> _truth = new(10_000);
    private long _lagMicros;

    public override string Name => "result";

    /// <summary>Points of completed runs that were compared.</summary>
    public int Compared { get; private set; }

    /// <summary>Those whose error is off by more than the expanded uncertainty.</summary>
    public int Beyond { get; private set; }

    public override void Look(in TrueState truth) =>
        _truth.Add(((float)(truth.PressurePa - truth.AtmospherePa), (float)truth.TransmitterCurrentA));

    public override void RunBegan(Sweeps.SweepJob job) => _lagMicros = NowMicros - World.MonotonicMicros;

    public override void RunEnded(RunRecord record)
    {
        if (record.Outcome != RunOutcome.Completed || (World.Faults.Touched & Excused) != 0)
            return;
        RunResult result = RunEvaluation.Evaluate(record);
        if (RunBudgets.Of(result) is not { } budgets)
            return;
        for (int i = 0; i < result.Points.Count; i++)
            Compare(record.Points[i], result.Points[i].Values!, budgets[i].Expanded(RunBudgets.Probability).Value, record.Device);
    }

    private void Compare(PointRecord point, PointValues told, double expanded, DeviceDefinition device)
    {
        if (point.Marks != PointMarks.None)
            return;
        double off = Math.Abs(told.ErrorPascals - point.Samples.Average(sample => TrueError(sample, device)));
        Compared++;
        Beyond += off > expanded ? 1 : 0;
        if (off > MostTimesUncertainty * expanded)
            Report($"point {point.Index}: the error of {told.ErrorPascals:0} Pa is {off:0} Pa off the true one, and its uncertainty is stated as {expanded:0} Pa");
    }

    private double TrueError(Sample sample, DeviceDefinition device)
    {
        long middle = _lagMicros + ((sample.Indication.AskedMicros + sample.Indication.AnsweredMicros) / 2);
        (float gauge, float amperes) = _truth[Math.Clamp((int)(middle / World.TruthMicros) - 1, 0, _truth.Count - 1)];
        return device.FromPascals + ((amperes - LowestAmperes) / SpanAmperes * device.SpanPascals) - gauge;
    }
}
