using Barostep.Configuration;
using Barostep.Evaluation.Characteristics;
using Barostep.Evaluation.Corrections;
using Barostep.Evaluation.Decisions;
using Barostep.Evaluation.Switching;
using Barostep.Evaluation.Uncertainty;
using Barostep.Procedures;
using Barostep.Records;

namespace Barostep.Evaluation;

/// <summary>The result of a run from its record, and nothing else: the same record always gives the same result.</summary>
/// <remarks>
/// <para>Readings are corrected first (<see cref="RunCorrections"/>). Error of indication in share of span, and the largest
/// of all single points as inaccuracy: IEC 61298-2 and ISA-51.1. Hysteresis: descending minus ascending at one nominal in
/// one cycle; repeatability: largest difference among cycles in one direction (both ISA-51.1). From these, from the scatter
/// and from the standards the uncertainty of each error (<see cref="RunBudgets"/>).</para>
/// <para>Rule: by the plain limit a point passes where |error| ≤ limit, an error equal to the limit included; any other
/// rule is that of <see cref="DecisionRules"/>, and without an uncertainty it decides nothing. A point of which half or more
/// of the samples are void, or of which the loop tells a fault, is not decided. A completed run fails where any point
/// fails, passes where all points of the procedure passed, and is not decided otherwise; a run that was not completed is
/// never decided. Marks do not change the judgement, they are shown beside it.</para>
/// </remarks>
public static class RunEvaluation
{
    /// <summary>
    /// Errors are equal to the limit when they differ by less than this share of span: far below what any reading
    /// resolves, and above what converting a unit to and fro can leave.
    /// </summary>
    private const double EqualWithinOfSpan = 1e-10;

    public static RunResult Evaluate(RunRecord record)
    {
        RunResult measured = Measured(record);
        DecisionRule rule = DecisionRules.Of(record.Agreement, record.Device.SpanPascals);
        PointResult[] points = [.. measured.Points.Select(point => Decided(measured, rule, point))];
        (Conformity conformity, IReadOnlyList<string> reasons) = Judgement.Of(record, points);
        return measured with { Points = points, Conformity = conformity, Reasons = reasons };
    }

    /// <summary>One point by itself, as soon as it is read. Its hysteresis and uncertainty are known only to the whole run.</summary>
    /// <param name="header">The run that it belongs to, without its points.</param>
    public static PointResult EvaluatePoint(RunRecord header, PointRecord point) =>
        EvaluatePoint(header, RunCorrections.Of(header), point);

    private static RunResult Measured(RunRecord record)
    {
        DeviceDefinition device = record.Device;
        RunCorrections corrections = RunCorrections.Of(record);
        PointResult[] points = [.. record.Points.Select(point => EvaluatePoint(record, corrections, point))];
        points = [.. points.Select(point => point with { HysteresisOfSpan = HysteresisAt(device, points, point) })];
        RunResult measured = new()
        {
            Record = record,
            LimitPascals = device.ToleranceOfSpan * device.SpanPascals,
            Points = points,
            Conformity = Conformity.NotDecided,
            Reasons = [],
            LargestError = points.Where(point => point.Values is not null).MaxBy(point => Math.Abs(point.Values!.ErrorOfSpan)),
            LargestHysteresisOfSpan = points
                .Where(point => point.HysteresisOfSpan is not null)
                .MaxBy(point => Math.Abs(point.HysteresisOfSpan!.Value))?.HysteresisOfSpan,
            Repeatability = new Repeatability(
                RepeatabilityIn(device, points, SeriesDirection.Ascending),
                RepeatabilityIn(device, points, SeriesDirection.Descending)),
            Zero = device.Contact is null ? ZeroOf(record, corrections) : new ZeroResult(null, null, null),
            Line = device.Contact is null ? LineThrough(device, points) : null,
            Corrections = corrections,
            Advice = null,
            Switching = SwitchResult.Of(device, points),
        };
        if (device.Contact is not null)
            return measured;
        IReadOnlyList<SeriesError> errors = MeasuredErrors.ErrorsOf(measured);
        return errors.Count == 0 ? measured : measured with { Advice = AdjustmentAdvice.For(errors) };
    }

    private static PointResult EvaluatePoint(RunRecord header, RunCorrections corrections, PointRecord point) => header.Device.Contact is null
        ? EvaluatePoint(header.Device, header.Agreement, corrections, point)
        : Judged(header.Agreement, SwitchPoint.Of(header, corrections, point));

    /// <summary>A switch that did not change within its ramp fails there, whatever the rule.</summary>
    private static PointResult Judged(DecisionAgreement agreement, PointResult change)
    {
        bool open = change.Values is not null && agreement.Rule != AgreedRule.PlainLimit;
        Conformity conformity = change.DidNotSwitch ? Conformity.Failed
            : change.Values is null || open ? Conformity.NotDecided
            : Math.Abs(change.Values.ErrorOfSpan) <= change.LimitOfSpan + EqualWithinOfSpan ? Conformity.Passed
            : Conformity.Failed;
        return change with { Conformity = conformity, IsOpen = open };
    }

    private static PointResult EvaluatePoint(DeviceDefinition device, DecisionAgreement agreement, RunCorrections corrections, PointRecord point)
    {
        IReadOnlyList<SampleError> counted = SampleErrors.Of(device, point.Samples, corrections);
        LoopSignal signal = counted.Select(sample => Transfer.Signal(device, sample.Output)).DefaultIfEmpty().Max();
        PointValues? values = counted.Count == 0 ? null : ValuesOf(device, counted);
        double limit = device.LimitOfSpanAt((point.NominalPascals - device.FromPascals) / device.SpanPascals);
        bool counts = values is not null && signal != LoopSignal.Fault && 2 * counted.Count > point.Samples.Count;
        bool open = counts && agreement.Rule != AgreedRule.PlainLimit;
        Conformity conformity = !counts || open ? Conformity.NotDecided
            : Math.Abs(values!.ErrorOfSpan) <= limit + EqualWithinOfSpan ? Conformity.Passed
            : Conformity.Failed;
        return new PointResult(point.Index, point.Cycle, point.Direction, point.NominalPascals, values, null, signal, conformity, point.Marks)
        {
            LimitOfSpan = limit,
            IsOpen = open,
        };
    }

    private static PointResult Decided(RunResult measured, DecisionRule rule, PointResult point)
    {
        if (RunBudgets.At(measured, point) is not { } budget)
            return point;
        if (point is { Conformity: Conformity.NotDecided, IsOpen: false })
            return point with { Budget = budget, Uncertainty = budget.Expanded(RunBudgets.Probability) };
        ExpandedUncertainty expanded = budget.Expanded(RunBudgets.Probability);
        ToleranceInterval tolerance = ToleranceInterval.Around0(point.LimitOfSpan * measured.Record.Device.SpanPascals);
        ToleranceDecision decision = ToleranceDecision.Of(rule, tolerance, point.Values!.ErrorPascals, budget.Combined, expanded.Value);
        bool accepts = decision.Zone is DecisionZone.Pass or DecisionZone.ConditionalPass;
        return point with
        {
            Budget = budget,
            Uncertainty = expanded,
            Decision = decision,
            Conformity = !point.IsOpen ? point.Conformity : accepts ? Conformity.Passed : Conformity.Failed,
            IsOpen = false,
        };
    }

    private static PointValues ValuesOf(DeviceDefinition device, IReadOnlyList<SampleError> counted)
    {
        double[] references = [.. counted.Select(sample => sample.ReferencePascals)];
        double[] indications = [.. counted.Select(sample => sample.IndicationPascals)];
        double[] errors = [.. counted.Select(sample => sample.ErrorPascals)];
        double[] outputs = [.. counted.Select(sample => sample.Output)];
        double error = Statistics.Mean(errors);
        return new PointValues(
            counted.Count,
            Statistics.Mean(references),
            Statistics.Mean(indications),
            device.TellsPressure ? null : Statistics.Mean(outputs),
            error,
            error / device.SpanPascals,
            Statistics.StandardDeviation(references),
            Statistics.StandardDeviation(indications),
            Statistics.StandardDeviation(errors));
    }

    private static double? HysteresisAt(DeviceDefinition device, IReadOnlyList<PointResult> points, PointResult point)
    {
        double? up = ErrorAt(device, points, point, SeriesDirection.Ascending);
        double? down = ErrorAt(device, points, point, SeriesDirection.Descending);
        return down - up;
    }

    private static double? ErrorAt(DeviceDefinition device, IReadOnlyList<PointResult> points, PointResult at, SeriesDirection direction) =>
        points.FirstOrDefault(point => point.Cycle == at.Cycle
            && point.Direction == direction
            && Nominal.Key(device, point.NominalPascals) == Nominal.Key(device, at.NominalPascals)
            && point.Values is not null)?.Values!.ErrorOfSpan;

    private static double? RepeatabilityIn(DeviceDefinition device, IEnumerable<PointResult> points, SeriesDirection direction)
    {
        double? largest = null;
        foreach (IGrouping<long, PointResult> same in points
            .Where(point => point.Direction == direction && point.Values is not null)
            .GroupBy(point => Nominal.Key(device, point.NominalPascals)))
        {
            double[] errors = [.. same.Select(point => point.Values!.ErrorOfSpan)];
            if (errors.Length > 1)
                largest = Math.Max(largest ?? 0, errors.Max() - errors.Min());
        }

        return largest;
    }

    private static ZeroResult ZeroOf(RunRecord record, RunCorrections corrections)
    {
        double? before = ZeroErrorOf(record.Device, corrections, record.Zeros.Where(zero => zero.BeforeSeries));
        double? after = ZeroErrorOf(record.Device, corrections, record.Zeros.Where(zero => !zero.BeforeSeries));
        return new ZeroResult(before, after, after - before);
    }

    private static double? ZeroErrorOf(DeviceDefinition device, RunCorrections corrections, IEnumerable<ZeroRecord> zeros)
    {
        double[] errors = [.. zeros.SelectMany(zero => SampleErrors.Of(device, zero.Samples, corrections)).Select(sample => sample.ErrorPascals)];
        return errors.Length == 0 ? null : Statistics.Mean(errors) / device.SpanPascals;
    }

    private static ErrorLine? LineThrough(DeviceDefinition device, IEnumerable<PointResult> points)
    {
        PointValues[] values = [.. points.Where(point => point.Signal != LoopSignal.Fault).Select(point => point.Values).OfType<PointValues>()];
        double[] x = [.. values.Select(value => (value.ReferencePascals - device.FromPascals) / device.SpanPascals)];
        double[] y = [.. values.Select(value => value.ErrorOfSpan)];
        return StraightLine.Fit(x, y) is not { } line ? null : new ErrorLine(
            line.Intercept,
            line.Slope,
            line.InterceptUncertainty,
            line.SlopeUncertainty,
            line.Covariance,
            line.ResidualDeviation);
    }
}
