using System.Globalization;
using Barostep.Configuration;
using Barostep.Evaluation.Corrections;
using Barostep.Evaluation.Decisions;
using Barostep.Evaluation.Switching;
using Barostep.Procedures;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Evaluation;

/// <summary>The result as a text table for people, without colours; within 100 columns for the usual ranges.</summary>
/// <remarks>
/// All at once by <see cref="Write"/>, or row by row while a run goes on: the columns depend on the device alone.
/// </remarks>
public sealed class ResultTable
{
    private const string Gap = "  ";

    private readonly TextWriter _writer;
    private readonly DeviceDefinition _device;
    private readonly List<Column> _columns;
    private readonly int _shareDecimals;
    private int _cycle = 1;
    private bool _leftOpen;

    public ResultTable(TextWriter writer, DeviceDefinition device)
    {
        _writer = writer;
        _device = device;
        _shareDecimals = ResultFormat.DecimalsFor(device.ToleranceOfSpan * 100);
        _columns = ColumnsFor(device, _shareDecimals);
    }

    private string Reference => _device.Reference == PressureReference.Gauge ? "gauge" : "absolute";

    /// <summary>Title, head, all rows and the closing lines.</summary>
    public static void Write(TextWriter writer, RunResult result)
    {
        ResultTable table = new(writer, result.Record.Device);
        table.WriteTitle(result.Record);
        table.WriteHead();
        foreach (PointResult point in result.Points)
            table.WriteRow(point);
        table.WriteClosing(result);
    }

    /// <summary>Device, range, limit, bench and run; a simulated run says so.</summary>
    public void WriteTitle(RunRecord record)
    {
        string tag = _device.Tag.Length == 0 ? string.Empty : $", tag {_device.Tag}";
        double limit = _device.ToleranceOfSpan * _device.SpanPascals / _device.Unit.PascalsAsDouble;
        Line("device", $"{_device.Title}, {_device.Manufacturer} {_device.Model}, serial {_device.SerialNumber}{tag}");
        Line("range", $"{Trimmed(_device.RangeFrom.Value)} to {Trimmed(_device.RangeTo.Value)} {_device.Unit} {Reference}{OutputRange()}");
        Line("limit", Invariant($"±{ShareText(_device.ToleranceOfSpan)} % of span (±{ResultFormat.Plain(limit, ResultFormat.DecimalsFor(limit))} {_device.Unit}){LimitFrom(_device)}"));
        if (record.Agreement.Rule != AgreedRule.PlainLimit)
            Line("rule", DecisionTable.InWords(record.Agreement));
        Line("bench", $"{record.Bench}, procedure {record.Procedure.Name}");
        Line("run", Invariant($"{record.Id}, started {record.StartedUtc.UtcDateTime:yyyy-MM-dd HH:mm:ss} UTC"));
        if (record.PerformedBy.Length > 0)
            Line("by", record.PerformedBy);
        if (record.Job is { } job)
            Line("job", $"{job.Job.Name}, {(job.Stage == JobStage.AsFound ? "as found" : "as left")}, order {job.Job.Order} of {job.Job.Customer}");
        foreach (StandardUse use in record.Standards.Where(use => use.Allowance is not null))
            Line("OVERDUE", $"{use.Role} {use.Standard.Name}, allowed by {use.Allowance!.By}: {use.Allowance.Reason}");
        if (record.Simulated)
            Line("SIMULATED", "every reading comes from the simulated bench; no device was calibrated");
        _writer.WriteLine();
    }

    public void WriteHead()
    {
        WriteCells(column => column.Head);
        WriteCells(column => column.Unit);
        _writer.WriteLine(new string('-', _columns.Sum(column => column.Width) + (Gap.Length * (_columns.Count - 1))));
    }

    /// <summary>One point. Its hysteresis stands in the descending row once it is known.</summary>
    public void WriteRow(PointResult point)
    {
        if (point.Cycle != _cycle)
            _writer.WriteLine(Invariant($"cycle {point.Cycle}"));
        _cycle = point.Cycle;
        _leftOpen |= point.IsOpen;
        WriteCells(column => column.Cell(point));
    }

    /// <summary>Largest error, hysteresis, repeatability, zero, fitted line and the verdict in words.</summary>
    public void WriteClosing(RunResult result)
    {
        WriteLegend(result.Points);
        foreach (AppliedCorrection correction in result.Corrections.Applied)
            Wide(correction.Name.ToLowerInvariant(), $"corrected by {correction.Text}");
        _writer.WriteLine();
        if (result.LargestError is { Values: { } values } worst)
            Wide("largest error", Invariant($"{Signed(values.ErrorOfSpan)} % of span at point {worst.Index} (limit ±{ShareText(worst.LimitOfSpan)} %)"));
        if (result.LargestHysteresisOfSpan is { } hysteresis)
            Wide("largest hysteresis", $"{Signed(hysteresis)} % of span (down less up)");
        if (result.Switching is null && result.Repeatability is not { AscendingOfSpan: null, DescendingOfSpan: null })
            Wide("repeatability", $"up {Plain(result.Repeatability.AscendingOfSpan)} %, down {Plain(result.Repeatability.DescendingOfSpan)} % of span");
        foreach ((string name, string text) in SwitchText.Of(result))
            Wide(name.ToLowerInvariant(), text);
        WriteZero(result.Zero);
        WriteLine(result);
        DecisionTable.Write(_writer, result);
        _writer.WriteLine();
        _writer.WriteLine(InWords(result));
    }

    private static List<Column> ColumnsFor(DeviceDefinition device, int shareDecimals)
    {
        double unit = device.Unit.PascalsAsDouble;
        string gauge = device.Reference == PressureReference.Gauge ? "g" : "abs";
        string pressureUnit = $"{device.Unit} {gauge}";
        int decimals = ResultFormat.DecimalsFor(device.ToleranceOfSpan * device.SpanPascals / unit);
        int nominalDecimals = Math.Max(0, decimals - 1);
        double from = device.FromPascals / unit;
        double to = (device.FromPascals + device.SpanPascals) / unit;
        int errorWidth = Math.Max(decimals + 3, ResultFormat.Plain(Math.Abs(to - from), 0).Length + 1);
        int shareWidth = shareDecimals + 3;
        int Widest(int places) => Math.Max(ResultFormat.Plain(from, places).Length, ResultFormat.Plain(to, places).Length);
        List<Column> columns =
        [
            new(" #", "", 7, point => Invariant($"{point.Index,2} {(point.Direction == SeriesDirection.Ascending ? "up" : "down")}"), Left: true),
            new("nominal", pressureUnit, Widest(nominalDecimals), point => ResultFormat.Plain(point.NominalPascals / unit, nominalDecimals)),
            new("reference", pressureUnit, Widest(decimals), point => ResultFormat.Plain(point.Values?.ReferencePascals / unit, decimals)),
        ];
        if (!device.TellsPressure && device.Contact is null)
            columns.Add(OutputColumn(device));
        columns.AddRange(
        [
            new("indication", pressureUnit, Widest(decimals), point => ResultFormat.Plain(point.Values?.IndicationPascals / unit, decimals)),
            new("error", $"{device.Unit}", errorWidth, point => ResultFormat.Within(errorWidth, point.Values?.ErrorPascals / unit, decimals)),
            new("error", "% span", shareWidth, point => ResultFormat.Within(shareWidth, point.Values?.ErrorOfSpan * 100, shareDecimals)),
            new("limit", "% span", shareDecimals + 2, point => ResultFormat.Plain(point.LimitOfSpan * 100, shareDecimals)),
            new("s", "% span", shareWidth, point => ResultFormat.Plain(point.Values?.ErrorDeviationPascals / device.SpanPascals * 100, shareDecimals + 1)),
            new("hyst.", "% span", shareWidth, point => HysteresisCell(point, shareWidth, shareDecimals)),
            new("verdict", "", 7, VerdictCell, Left: true),
        ]);
        return columns;
    }

    private static Column OutputColumn(DeviceDefinition device)
    {
        (double scale, string unit) = OutputUnit(device.Output);
        int decimals = ResultFormat.DecimalsFor(device.ToleranceOfSpan * Math.Abs(device.OutputTo - device.OutputFrom) * scale);
        int width = ResultFormat.Plain(device.OutputTo * scale, decimals).Length;
        return new Column("output", unit, width, point => ResultFormat.Plain(point.Values?.Output * scale, decimals));
    }

    private static (double Scale, string Unit) OutputUnit(DeviceOutput output) => output switch
    {
        DeviceOutput.Current => (1000, "mA"),
        DeviceOutput.Voltage => (1, "V"),
        DeviceOutput.Digital or DeviceOutput.Dial or DeviceOutput.Contact => throw new ArgumentOutOfRangeException(nameof(output), output, "it has no electrical output that tells a pressure"),
        _ => throw new ArgumentOutOfRangeException(nameof(output), output, "unknown output"),
    };

    private static string HysteresisCell(PointResult point, int width, int decimals) => point.Direction == SeriesDirection.Ascending
        ? string.Empty
        : ResultFormat.Within(width, point.HysteresisOfSpan * 100, decimals);

    private static string VerdictCell(PointResult point)
    {
        string word = point.Conformity switch
        {
            Conformity.Passed => point.Decision?.Zone == DecisionZone.ConditionalPass ? "pass c" : "pass",
            Conformity.Failed => point.Decision?.Zone == DecisionZone.ConditionalFail ? "FAIL c" : "FAIL",
            Conformity.NotDecided => point.IsOpen ? "open" : point.Signal == LoopSignal.Fault ? "fault" : "void",
            _ => throw new ArgumentOutOfRangeException(nameof(point), point.Conformity, "unknown verdict"),
        };
        string marks = string.Concat(Marks.Where(mark => mark.Applies(point)).Select(mark => mark.Letter));
        return marks.Length == 0 ? word : $"{word} {marks}";
    }

    private static string LimitFrom(DeviceDefinition device) =>
        device.AccuracyClass is { } ofClass ? Invariant($", class {ofClass.PercentOfSpan} of EN 837-1")
        : device.Grade is { } grade ? $", grade {grade.Name} of ASME B40.100: {grade.OuterPercent.ToString(CultureInfo.InvariantCulture)} % in the outer quarters, {grade.MiddlePercent.ToString(CultureInfo.InvariantCulture)} % between"
        : string.Empty;

    private static readonly IReadOnlyList<(string Letter, string Meaning, Func<PointResult, bool> Applies)> Marks =
    [
        ("U", "unsettled", point => point.Marks.HasFlag(PointMarks.Unsettled)),
        ("W", "approached from the wrong side", point => point.Marks.HasFlag(PointMarks.WrongApproach)),
        ("V", "with void samples", point => point.Marks.HasFlag(PointMarks.VoidSamples)),
        ("S", "loop outside 3.8 mA to 20.5 mA", point => point.Signal == LoopSignal.Saturated),
    ];

    private void WriteLegend(IReadOnlyList<PointResult> points)
    {
        if (_leftOpen)
            _writer.WriteLine("open: the agreed rule needs U, which the whole run tells; see the decisions below");
        string[] used = [.. Marks.Where(mark => points.Any(mark.Applies)).Select(mark => $"{mark.Letter} {mark.Meaning}")];
        if (used.Length > 0)
            _writer.WriteLine(string.Join("; ", used));
    }

    private void WriteZero(ZeroResult zero)
    {
        if (zero.ShiftOfSpan is { } shift)
            Wide("zero shift", $"{Signed(shift)} % of span (before {Signed(zero.BeforeOfSpan)} %, after {Signed(zero.AfterOfSpan)} %)");
        else if (zero.BeforeOfSpan is { } before)
            Wide("zero before", $"{Signed(before)} % of span (not read after the series)");
        else if (zero.AfterOfSpan is { } after)
            Wide("zero after", $"{Signed(after)} % of span (not read before the series)");
    }

    private void WriteLine(RunResult result)
    {
        if (result.Line is not { } line)
            return;
        Wide("fitted zero error", Fitted(line.ZeroErrorOfSpan, line.ZeroUncertaintyOfSpan));
        Wide("fitted span error", Fitted(line.SpanErrorOfSpan, line.SpanUncertaintyOfSpan));
        Wide("", "least squares over all points; u from their scatter about the line alone");
    }

    private string Fitted(double valueOfSpan, double? uncertaintyOfSpan)
    {
        // An exact fit has no digits of its own to round to.
        if (uncertaintyOfSpan is not { } u || u * 100 < Math.Pow(10, -_shareDecimals - 3))
            return $"{ResultFormat.Signed(valueOfSpan * 100, _shareDecimals + 1)} % of span";
        int decimals = ResultFormat.DecimalsForUncertainty(u * 100);
        return $"{ResultFormat.Signed(valueOfSpan * 100, decimals)} % of span, u = {ResultFormat.Plain(u * 100, decimals)} %";
    }

    private string InWords(RunResult result) => result.Conformity switch
    {
        Conformity.Passed => Invariant($"PASSED: all {result.Points.Count} points within {PassedBy(result)}"),
        Conformity.Failed => $"FAILED: {string.Join("; ", result.Reasons)}",
        Conformity.NotDecided => $"NOT DECIDED: {(result.Reasons.Count == 0 ? "no point was read" : string.Join("; ", result.Reasons))}",
        _ => throw new ArgumentOutOfRangeException(nameof(result), result.Conformity, "unknown verdict"),
    };

    private string PassedBy(RunResult result)
    {
        string limit = _device.Grade is { } grade ? $"grade {grade.Name}" : $"±{ShareText(_device.ToleranceOfSpan)} % of span";
        return result.Agreement.Rule == AgreedRule.PlainLimit ? limit : $"{limit} by the agreed rule";
    }

    private string OutputRange()
    {
        if (_device.Dial is { } dial)
            return Invariant($", dial read by eye to {dial.ReadablePascals / _device.Unit.Pascals:0.######} {_device.Unit}");
        if (_device.TellsPressure)
            return ", read digitally";
        if (_device.Contact is { } contact)
            return Invariant($", contact {(contact.ClosesWhenTripped ? "closes" : "opens")} at {Trimmed(contact.SwitchesAt.Value)} {_device.Unit}, back at {Trimmed(contact.ResetsAt.Value)} {_device.Unit}");
        (double scale, string unit) = OutputUnit(_device.Output);
        return Invariant($", output {_device.OutputFrom * scale:0.###} to {_device.OutputTo * scale:0.###} {unit}");
    }

    private void WriteCells(Func<Column, string> text)
    {
        IEnumerable<string> cells = _columns.Select(column => column.Left ? text(column).PadRight(column.Width) : text(column).PadLeft(column.Width));
        _writer.WriteLine(string.Join(Gap, cells).TrimEnd());
    }

    private void Line(string name, string text) => _writer.WriteLine($"{name,-11}{text}");

    private void Wide(string name, string text) => _writer.WriteLine($"{name,-20}{text}");

    private string Signed(double? ofSpan) => ResultFormat.Signed(ofSpan * 100, _shareDecimals);

    private string Plain(double? ofSpan) => ResultFormat.Plain(ofSpan * 100, _shareDecimals);

    private string ShareText(double ofSpan) => ResultFormat.Plain(ofSpan * 100, _shareDecimals);

    private static string Trimmed(decimal value) => value.ToString("0.############", CultureInfo.InvariantCulture);

    private static string Invariant(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);

    private sealed record Column(string Head, string Unit, int Least, Func<PointResult, string> Cell, bool Left = false)
    {
        public int Width => Math.Max(Least, Math.Max(Head.Length, Unit.Length));
    }
}
