using System.Text.RegularExpressions;
using Barostep.Configuration;
using Barostep.Configuration.Quantities;
using Barostep.Configuration.Toml;
using Barostep.Safety;

namespace Barostep.Evaluation.Readings;

/// <summary>The columns of a readings file, each with the factor that brings its numbers to the base unit.</summary>
/// <param name="Point">To a share of the span, or to Pa.</param>
/// <param name="PointIsShare">Whether the nominals are shares of the span.</param>
/// <param name="Times">Columns of the reference's and the indication's time; null where there is none. Base unit: microsecond.</param>
internal sealed record ReadingsHeader(
    int Count,
    (int Index, double Factor) Point,
    bool PointIsShare,
    int Series,
    int? Cycle,
    (int Index, double Factor) Reference,
    (int Index, double Factor) Indication,
    (int Index, double Factor)? ReferenceTime,
    (int Index, double Factor)? IndicationTime,
    int? Void);

/// <summary>Reads the first line of a readings file: names, each with its unit in square brackets where it has one.</summary>
internal sealed partial class ReadingsHeaderReader
{
    private static readonly string[] _names = ["point", "series", "cycle", "reference", "indication", "time", "reference time", "indication time", "void"];

    private readonly DeviceDefinition _device;
    private readonly ErrorList _errors;
    private readonly SourcePosition _where;
    private readonly int _count;
    private readonly Dictionary<string, (int Index, string Unit, SourcePosition Where)> _columns = new(StringComparer.Ordinal);

    private ReadingsHeaderReader(IReadOnlyList<CsvField> header, DeviceDefinition device, ErrorList errors)
    {
        _device = device;
        _errors = errors;
        _where = header[0].Where;
        _count = header.Count;
        for (int i = 0; i < header.Count; i++)
            Add(header[i], i);
    }

    private string PressureExample => $"{_device.Unit} {Word(_device.Reference)}";

    /// <summary>The columns, or null where something is wrong.</summary>
    public static ReadingsHeader? Read(IReadOnlyList<CsvField> header, DeviceDefinition device, ErrorList errors) =>
        new ReadingsHeaderReader(header, device, errors).Read();

    private ReadingsHeader? Read()
    {
        bool pointIsShare = _columns.TryGetValue("point", out var point) && point.Unit is "% of span" or "%";
        (int, double)? nominal = pointIsShare ? (point.Index, 0.01) : Pressure("point", $"% of span] or [{PressureExample}");
        int? series = Plain("series", required: true);
        (int, double)? reference = Pressure("reference", PressureExample);
        (int, double)? indication = _device.Output switch
        {
            DeviceOutput.Digital or DeviceOutput.Dial => Pressure("indication", PressureExample),
            DeviceOutput.Current => Electrical(QuantityKind.Current, "mA"),
            DeviceOutput.Voltage => Electrical(QuantityKind.Voltage, "V"),
            _ => throw new InvalidOperationException($"Output {_device.Output} is not known here."),
        };
        (int, double)? time = Time("time");
        (int, double)? referenceTime = Time("reference time") ?? time;
        (int, double)? indicationTime = Time("indication time") ?? time;
        int? cycle = Plain("cycle", required: false);
        int? isVoid = Plain("void", required: false);
        if (referenceTime is null != indicationTime is null)
            _errors.Add(_where, "a time for only one of reference and indication", "both have a time or neither", "add the other or write one column time [s] for both");
        return _errors.Count > 0 ? null : new ReadingsHeader(
            _count, nominal!.Value, pointIsShare, series!.Value, cycle, reference!.Value, indication!.Value, referenceTime, indicationTime, isVoid);
    }

    private void Add(CsvField field, int index)
    {
        Match match = NameAndUnit().Match(field.Text);
        string name = WhiteSpace().Replace(match.Groups["name"].Value.Trim(), " ").ToLowerInvariant();
        string unit = WhiteSpace().Replace(match.Groups["unit"].Value.Trim(), " ");
        if (!match.Success || !_names.Contains(name))
        {
            string? near = NearestName.Of(name, _names);
            _errors.Add(field.Where, $"column {MessageText.OneLine(field.Text)}", $"the columns are {string.Join(", ", _names)}, a unit in square brackets after the name", near is null ? "rename or delete it" : $"did you mean {near}");
        }
        else if (!_columns.TryAdd(name, (index, unit, field.Where)))
        {
            _errors.Add(field.Where, $"a second column {name}", "each column is there once", "delete one of the two");
        }
    }

    private int? Plain(string name, bool required)
    {
        if (!_columns.TryGetValue(name, out var column))
        {
            if (required)
                Missing(name, name);
            return null;
        }

        if (column.Unit.Length > 0)
            _errors.Add(column.Where, $"{name} [{MessageText.OneLine(column.Unit)}]", "this column has no unit", $"write {name}");
        return column.Index;
    }

    private (int, double)? Pressure(string name, string example)
    {
        if (!_columns.TryGetValue(name, out var column))
            return Missing(name, $"{name} [{example}]");
        if (QuantityText.ReadUnit(column.Unit, out PressureUnit? unit, out PressureReference reference) is { } fault)
            return Wrong(column.Where, name, column.Unit, fault.Rule, $"write {name} [{example}]");
        return reference == _device.Reference
            ? (column.Index, unit!.PascalsAsDouble)
            : Wrong(column.Where, name, column.Unit, $"device {_device.Name} is {Word(_device.Reference)}, and the two are not mixed", $"bring the readings to {Word(_device.Reference)} pressure first");
    }

    private (int, double)? Electrical(QuantityKind kind, string example)
    {
        if (!_columns.TryGetValue("indication", out var column))
            return Missing("indication", $"indication [{example}]");
        return kind.Units.TryGetValue(column.Unit, out decimal factor)
            ? (column.Index, (double)factor)
            : Wrong(column.Where, "indication", column.Unit, $"device {_device.Name} gives out {kind.Name}: {string.Join(", ", kind.Units.Keys)}", $"write indication [{example}]");
    }

    private (int, double)? Time(string name)
    {
        if (!_columns.TryGetValue(name, out var column))
            return null;
        return QuantityKind.Time.Units.TryGetValue(column.Unit, out decimal factor)
            ? (column.Index, (double)factor)
            : Wrong(column.Where, name, column.Unit, $"a time has a unit: {string.Join(", ", QuantityKind.Time.Units.Keys)}", $"write {name} [s]");
    }

    private (int, double)? Missing(string name, string write)
    {
        _errors.Add(_where, $"there is no column {name}", "the first line names the columns", $"add {write}");
        return null;
    }

    private (int, double)? Wrong(SourcePosition where, string name, string unit, string rule, string instead)
    {
        _errors.Add(where, unit.Length == 0 ? $"{name} has no unit" : $"{name} [{MessageText.OneLine(unit)}]", rule, instead);
        return null;
    }

    private static string Word(PressureReference reference) => reference == PressureReference.Gauge ? "gauge" : "absolute";

    [GeneratedRegex("""^(?<name>[^\[\]]+)(\[(?<unit>[^\[\]]*)\]\s*)?$""", RegexOptions.CultureInvariant)]
    private static partial Regex NameAndUnit();

    [GeneratedRegex("""\s+""", RegexOptions.CultureInvariant)]
    private static partial Regex WhiteSpace();
}
