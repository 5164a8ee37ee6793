using System.Globalization;
using Barostep.Configuration;
using Barostep.Procedures;
using Barostep.Records;

namespace Barostep.Evaluation;

/// <summary>The verdict over a whole run, with its reasons in words; the rule is stated at <see cref="RunEvaluation"/>.</summary>
public static class Judgement
{
    // As for errors: what converting a unit to and fro can leave.
    private const double HysteresisRounding = 1e-10;

    public static (Conformity Conformity, IReadOnlyList<string> Reasons) Of(RunRecord record, IReadOnlyList<PointResult> points)
    {
        List<string> reasons = [];
        int failed = points.Count(point => point.Conformity == Conformity.Failed);
        int unchanged = points.Count(point => point.DidNotSwitch);
        if (unchanged > 0)
            reasons.Add(Invariant($"the contact did not change in {unchanged} of {points.Count} ramps"));
        if (failed > unchanged)
            reasons.Add(Invariant($"{failed - unchanged} of {points.Count} points outside the {(record.Agreement.Rule is AgreedRule.PlainLimit or AgreedRule.FourZones ? "limit" : "acceptance limit")}"));
        bool tooMuchHysteresis = AddHysteresis(record.Device, points, reasons);
        AddUndecided(points, reasons);
        int missing = MissingPoints(record, points);
        if (missing > 0)
            reasons.Add(Invariant($"{missing} of {PlannedPoints(record)} points not read"));
        if (record.Outcome != RunOutcome.Completed)
            reasons.Insert(0, record.OutcomeReason.Length == 0 ? OutcomeInWords(record.Outcome) : $"{OutcomeInWords(record.Outcome)}: {record.OutcomeReason}");

        if (record.Outcome != RunOutcome.Completed)
            return (Conformity.NotDecided, reasons);
        if (failed > 0 || tooMuchHysteresis)
            return (Conformity.Failed, reasons);
        return (reasons.Count == 0 && points.Count > 0 ? Conformity.Passed : Conformity.NotDecided, reasons);
    }

    /// <summary>How the run ended, as a clause.</summary>
    public static string OutcomeInWords(RunOutcome outcome) => outcome switch
    {
        RunOutcome.Incomplete => "the run was not completed",
        RunOutcome.Completed => "the run was completed",
        RunOutcome.Stopped => "the run was stopped by the operator",
        RunOutcome.Aborted => "the run was aborted",
        RunOutcome.Tripped => "the run was ended by a safety trip",
        RunOutcome.InstrumentFailure => "the run was ended by an instrument failure",
        RunOutcome.Refused => "the run was refused by the self-test",
        _ => throw new ArgumentOutOfRangeException(nameof(outcome), outcome, "unknown outcome"),
    };

    // EN 837-1 limits the hysteresis of a class by the same figure as its error.
    private static bool AddHysteresis(DeviceDefinition device, IReadOnlyList<PointResult> points, List<string> reasons)
    {
        double largest = points.Max(point => Math.Abs(point.HysteresisOfSpan ?? 0) as double?) ?? 0;
        if (device.AccuracyClass is not { } ofClass || largest <= ofClass.ErrorOfSpan + HysteresisRounding)
            return false;
        reasons.Add(Invariant($"hysteresis of {largest * 100:0.###} % of span is more than class {ofClass.PercentOfSpan} permits"));
        return true;
    }

    private static void AddUndecided(IReadOnlyList<PointResult> points, List<string> reasons)
    {
        int faults = points.Count(point => point.Signal == LoopSignal.Fault);
        if (faults > 0)
            reasons.Add(Invariant($"the loop told a fault at {faults} of {points.Count} points"));
        int open = points.Count(point => point.IsOpen);
        if (open > 0)
            reasons.Add(Invariant($"the agreed rule needs an uncertainty, and none is known at {open} of {points.Count} points"));
        int voids = points.Count(point => point is { Conformity: Conformity.NotDecided, IsOpen: false } && point.Signal != LoopSignal.Fault);
        if (voids > 0)
            reasons.Add(Invariant($"half or more of the samples void at {voids} of {points.Count} points"));
    }

    private static int PlannedPoints(RunRecord record) => record.Device.Contact is not null
        ? 2 * (record.Procedure.SwitchTest?.Repeats ?? 0)
        : record.Procedure.Series.Sum(cycle => cycle.PointsOfSpan.Count * (cycle.Descending ? 2 : 1));

    // The top point may have been read once for both series, so there the descending reading is not missed.
    private static int MissingPoints(RunRecord record, IReadOnlyList<PointResult> points)
    {
        if (record.Device.Contact is not null)
            return Math.Max(0, PlannedPoints(record) - points.Count);
        HashSet<(int Cycle, SeriesDirection Direction, long Nominal)> read =
            [.. points.Select(point => (point.Cycle, point.Direction, Nominal.Key(record.Device, point.NominalPascals)))];
        int missing = 0;
        foreach (ProcedureCycle cycle in record.Procedure.Series)
        {
            for (int i = 0; i < cycle.PointsOfSpan.Count; i++)
            {
                long nominal = Nominal.KeyOfShare(cycle.PointsOfSpan[i]);
                bool up = read.Contains((cycle.Number, SeriesDirection.Ascending, nominal));
                bool top = i == cycle.PointsOfSpan.Count - 1;
                bool down = (top && up) || read.Contains((cycle.Number, SeriesDirection.Descending, nominal));
                missing += (up ? 0 : 1) + (down || !cycle.Descending ? 0 : 1);
            }
        }

        return missing;
    }

    private static string Invariant(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
