using System.Globalization;
using Barostep.Configuration;
using Barostep.Evaluation;
using Barostep.Evaluation.Decisions;
using Barostep.Evaluation.Devices;
using Barostep.Procedures;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Certificates;

/// <summary>The sentences of a certificate, in one place, so that every format says the same.</summary>
internal static class Wording
{
    public const string ItemOnly = "The results relate only to the item calibrated and to its state at the time of the work.";

    public const string Reproduction =
        "This certificate may be reproduced only in full. Extracts need the laboratory’s written approval.";

    public const string NoDeviations = "No additions to, deviations from or exclusions from the method.";

    public const string NotAdjusted = "The item was not adjusted.";

    public const string NoUncertainty =
        "No uncertainty is stated for these results. Without it they are not a calibration, and this document stays a draft.";

    public const string Caution =
        "Compressed gas stores energy, and software is not a relief device. Before the item is pressurised again: a relief "
        + "valve set below the lowest rating, eye protection, and local rules first. Vent and confirm zero before a fitting is opened.";

    public const string Simulated = "SIMULATED: every reading comes from a simulated bench; no item was calibrated";

    public static string Title(ItemState state) => state switch
    {
        ItemState.NotAdjusted => "Results",
        ItemState.AsFound => "Results as found",
        ItemState.AsLeft => "Results as left",
        _ => throw new ArgumentOutOfRangeException(nameof(state), state, "unknown state"),
    };

    public static string Range(DeviceDefinition device) =>
        $"{Plain(device.RangeFrom.Value)} to {Plain(device.RangeTo.Value)} {device.Unit} {(device.Reference == PressureReference.Gauge ? "gauge" : "absolute")}";

    public static string Output(DeviceDefinition device) => device.Output switch
    {
        DeviceOutput.Current => Invariant($"current, {device.OutputFrom * 1000:0.###} mA to {device.OutputTo * 1000:0.###} mA{Transfer(device)}"),
        DeviceOutput.Voltage => Invariant($"voltage, {device.OutputFrom:0.###} V to {device.OutputTo:0.###} V{Transfer(device)}"),
        DeviceOutput.Digital => "read digitally",
        DeviceOutput.Contact => Contact(device.Contact!),
        DeviceOutput.Dial => Invariant($"dial, read by a person to {Plain(device.Dial!.ReadablePascals / device.Unit.Pascals)} {device.Unit}"),
        _ => throw new ArgumentOutOfRangeException(nameof(device), device.Output, "unknown output"),
    };

    private static string Contact(SwitchContact contact) =>
        $"contact that {(contact.ClosesWhenTripped ? "closes" : "opens")} at {contact.SwitchesAt}, back at {contact.ResetsAt}";

    private static string Transfer(DeviceDefinition device) => device.Transfer switch
    {
        SignalTransfer.Linear => string.Empty,
        SignalTransfer.SquareRoot => ", as the square root of the pressure",
        SignalTransfer.Table table => Invariant($", by a table of {table.Points.Count} points"),
        _ => throw new ArgumentOutOfRangeException(nameof(device), device.Transfer, "unknown transfer"),
    };

    public static string Tolerance(DeviceDefinition device)
    {
        double share = device.ToleranceOfSpan * 100;
        double limit = device.ToleranceOfSpan * device.SpanPascals / device.Unit.PascalsAsDouble;
        string from = device.AccuracyClass is { } ofClass ? Invariant($", class {ofClass.PercentOfSpan} of EN 837-1")
            : device.Grade is { } grade ? Invariant($", grade {grade.Name} of ASME B40.100: ±{grade.OuterPercent} % below 25 % and above 75 % of span, ±{grade.MiddlePercent} % between")
            : string.Empty;
        return $"±{Short(share)} % of span (±{Short(limit)} {device.Unit}){from}";
    }

    /// <summary>How a pressure switch was tested.</summary>
    public static string Method(SwitchTest test, double spanPascals, PressureUnit unit) =>
        Invariant($"Slowly to the trip point until the contact changed and slowly back until it changed again, {Counted(test.Repeats, "time")}, at {Short(test.RateOfSpanPerSecond * spanPascals / unit.PascalsAsDouble)} {unit}/s. ")
        + "The pressure at a change is that of the straight line through the reference’s readings at the middle of the interval in which the contact changed, "
        + "corrected for the reference’s lag. Error of indication = set point − pressure at the change.";

    public static string Method(Procedure procedure)
    {
        string direction = procedure.Descending ? "ascending and descending" : "ascending";
        string points = string.Join(", ", procedure.PointsOfSpan.Select(share => Short(share * 100)));
        return Invariant($"{procedure.PointsOfSpan.Count} points {direction}, at {points} % of span; ")
            + $"{Counted(procedure.Cycles, "cycle")}{MoreOf(procedure)}; {Counted(procedure.Preloads, "preload")} to the upper range end; "
            + Invariant($"{procedure.Samples} samples a point, each after the reference had stayed within ±{Short(procedure.Settle.BandOfSpan * 100)} % of span ")
            + Invariant($"for {procedure.Settle.WindowMicros / 1e6:0.###} s and at least {procedure.Settle.MinimumDwellMicros / 1e6:0.###} s at the point. ")
            + "Error of indication = indication − reference value, read together; the mean over the samples is stated.";
    }

    private static string MoreOf(Procedure procedure)
    {
        string rising = procedure is { LastCycleRisesOnly: true, Descending: true } ? ", the last rising only" : string.Empty;
        string mounted = procedure.RemountBeforeCycle > 0 ? Invariant($", mounted again before cycle {procedure.RemountBeforeCycle}") : string.Empty;
        string again = procedure.Repeats > 0 && procedure.RepeatPointsOfSpan.Count > 0
            ? $", and {Counted(procedure.Repeats, "further rising series")} at {string.Join(", ", procedure.RepeatPointsOfSpan.Select(share => Short(share * 100)))} % of span"
            : string.Empty;
        return rising + mounted + again;
    }

    /// <summary>Which results, which specification, which rule.</summary>
    public static string Statement(RunResult result, DecisionRule rule)
    {
        string specification = $"the permissible error of {Tolerance(result.Record.Device)}, decided by the rule “{rule.Name}”";
        string reasons = result.Reasons.Count == 0 ? "no point was read" : string.Join("; ", result.Reasons);
        return result.Conformity switch
        {
            Conformity.Passed => Invariant($"{Outcome(result)}. The errors at all {result.Points.Count} points conform to {specification}."),
            Conformity.Failed => $"{Outcome(result)}. The results do not conform to {specification}: {reasons}.",
            Conformity.NotDecided => $"NOT DECIDED. No statement is made on {specification}: {reasons}.",
            _ => throw new ArgumentOutOfRangeException(nameof(result), result.Conformity, "unknown conformity"),
        };
    }

    // Of a series the worst of its points.
    private static string Outcome(RunResult result) => Worst(result.Points) switch
    {
        DecisionZone.ConditionalPass => "CONDITIONAL PASS",
        DecisionZone.ConditionalFail => "CONDITIONAL FAIL",
        _ => result.Conformity == Conformity.Passed ? "PASS" : "FAIL",
    };

    private static DecisionZone? Worst(IEnumerable<PointResult> points) => points.Max(point => point.Decision?.Zone);

    public static IReadOnlyList<string> Remarks(PointResult point)
    {
        List<string> remarks = [];
        if (point.Marks.HasFlag(PointMarks.Unsettled))
            remarks.Add("read unsettled");
        if (point.Marks.HasFlag(PointMarks.WrongApproach))
            remarks.Add("approached from the wrong side");
        if (point.Marks.HasFlag(PointMarks.VoidSamples))
            remarks.Add("with void samples");
        if (point.Signal == LoopSignal.Saturated)
            remarks.Add("loop outside 3.8 mA to 20.5 mA");
        if (point.Signal == LoopSignal.Fault)
            remarks.Add("loop told a fault");
        return remarks;
    }

    public static string Direction(SeriesDirection direction) => direction == SeriesDirection.Ascending ? "up" : "down";

    public static string Verdict(Conformity conformity, DecisionZone? zone = null) => conformity switch
    {
        Conformity.Passed => zone == DecisionZone.ConditionalPass ? "cond. pass" : "pass",
        Conformity.Failed => zone == DecisionZone.ConditionalFail ? "cond. FAIL" : "FAIL",
        Conformity.NotDecided => "none",
        _ => throw new ArgumentOutOfRangeException(nameof(conformity), conformity, "unknown conformity"),
    };

    /// <summary>Without trailing zeros, at most six decimals.</summary>
    public static string Short(double value) => value.ToString("0.######", CultureInfo.InvariantCulture);

    public static string Date(DateOnly date) => date.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);

    public static string Invariant(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);

    private static string Plain(decimal value) => value.ToString("0.############", CultureInfo.InvariantCulture);

    private static string Counted(int count, string noun) => count switch
    {
        0 => $"no {noun}",
        1 => $"1 {noun}",
        _ => Invariant($"{count} {noun}s"),
    };
}
