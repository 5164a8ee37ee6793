using System.Globalization;
using Barostep.Configuration;
using Barostep.Configuration.Toml;
using Barostep.Procedures;
using Barostep.Records;

namespace Barostep.Evaluation.Readings;

/// <summary>What came of reading a readings file: zeros and points as a run would have left them, or all that is wrong.</summary>
public sealed record LoadedReadings(IReadOnlyList<ZeroRecord> Zeros, IReadOnlyList<PointRecord> Points, IReadOnlyList<ConfigurationError> Errors);

/// <summary>Readings that were taken elsewhere, from a CSV file; docs/evaluation.md lists its columns.</summary>
/// <remarks>
/// Rows with the same point, series and cycle are the samples of one point, in whatever order they stand. Without times
/// reference and indication count as read at one moment.
/// </remarks>
public sealed class ReadingsFile
{
    private const string Up = "up";
    private const string Down = "down";
    private const string ZeroBefore = "zero before";
    private const string ZeroAfter = "zero after";

    // 30 years in microseconds, well within what a long holds.
    private const double MostMicros = 1e15;

    private readonly DeviceDefinition _device;
    private readonly Procedure _procedure;
    private readonly ErrorList _errors = new();
    private readonly List<Sample> _before = [];
    private readonly List<Sample> _after = [];
    private readonly List<(int Cycle, SeriesDirection Direction, double Nominal, List<Sample> Samples)> _points = [];

    private ReadingsFile(DeviceDefinition device, Procedure procedure)
    {
        _device = device;
        _procedure = procedure;
    }

    /// <summary>Never throws for what the file says.</summary>
    /// <param name="file">As it is to be called in messages.</param>
    public static LoadedReadings Read(string file, string text, DeviceDefinition device, Procedure procedure)
    {
        ArgumentNullException.ThrowIfNull(file);
        ArgumentNullException.ThrowIfNull(text);
        ArgumentNullException.ThrowIfNull(device);
        ArgumentNullException.ThrowIfNull(procedure);
        ReadingsFile reader = new(device, procedure);
        reader.Read(file, text);
        IReadOnlyList<ConfigurationError> errors = reader._errors.Sorted();
        return errors.Count == 0
            ? new LoadedReadings([.. reader.Zeros()], [.. reader.Points()], [])
            : new LoadedReadings([], [], errors);
    }

    private void Read(string file, string text)
    {
        IReadOnlyList<IReadOnlyList<CsvField>> records = CsvTable.Read(file, text, _errors);
        if (_errors.Count > 0)
            return;
        if (records.Count < 2)
        {
            _errors.Add(new SourcePosition(file, 1, 1), records.Count == 0 ? "the file is empty" : "there is nothing after the first line", "the first line names the columns, and each further one is a sample", "write the readings below the names");
            return;
        }

        if (ReadingsHeaderReader.Read(records[0], _device, _errors) is not { } header)
            return;
        foreach (IReadOnlyList<CsvField> record in records.Skip(1))
            ReadRow(header, record);
        if (_errors.Count == 0 && _points.Count == 0)
            _errors.Add(records[1][0].Where, "there are zeros only", "an evaluation needs a point of the series", "add the rows of the series");
    }

    private void ReadRow(ReadingsHeader header, IReadOnlyList<CsvField> row)
    {
        if (row.Count != header.Count)
        {
            _errors.Add(row[0].Where, $"{row.Count} fields", $"the first line names {header.Count}", "write as many, or put a field with a comma in quotation marks");
            return;
        }

        double? reference = Number(row[header.Reference.Index], header.Reference.Factor);
        double? indication = Number(row[header.Indication.Index], header.Indication.Factor);
        long? referenceMicros = Micros(row, header.ReferenceTime);
        long? indicationMicros = Micros(row, header.IndicationTime);
        bool? isVoid = header.Void is { } column ? Truth(row[column]) : false;
        List<Sample>? samples = SamplesOf(header, row);
        if (reference is null || indication is null || referenceMicros is null || indicationMicros is null || isVoid is null || samples is null)
            return;
        samples.Add(new Sample(
            new RawReading(reference.Value, row[header.Reference.Index].Text, referenceMicros.Value, referenceMicros.Value),
            new RawReading(indication.Value, row[header.Indication.Index].Text, indicationMicros.Value, indicationMicros.Value),
            isVoid.Value));
    }

    private List<Sample>? SamplesOf(ReadingsHeader header, IReadOnlyList<CsvField> row)
    {
        CsvField series = row[header.Series];
        switch (series.Text.Trim())
        {
            case Up:
                return SamplesAt(header, row, SeriesDirection.Ascending);
            case Down when _procedure.Descending:
                return SamplesAt(header, row, SeriesDirection.Descending);
            case Down:
                _errors.Add(series.Where, "series down", $"procedure {_procedure.Name} does not come down again", "choose another procedure or leave these rows out");
                return null;
            case ZeroBefore:
                return _before;
            case ZeroAfter:
                return _after;
            default:
                _errors.Add(series.Where, $"series {MessageText.OneLine(series.Text)}", $"it is {Up}, {Down}, {ZeroBefore} or {ZeroAfter}", "write one of these");
                return null;
        }
    }

    private List<Sample>? SamplesAt(ReadingsHeader header, IReadOnlyList<CsvField> row, SeriesDirection direction)
    {
        int? cycle = header.Cycle is { } column ? Cycle(row[column]) : 1;
        double? written = Number(row[header.Point.Index], header.Point.Factor);
        if (cycle is null || written is not { } number)
            return null;
        double share = header.PointIsShare ? number : (number - _device.FromPascals) / _device.SpanPascals;
        if (!_procedure.PointsOfSpan.Any(point => Nominal.KeyOfShare(point) == Nominal.KeyOfShare(share)))
        {
            _errors.Add(row[header.Point.Index].Where, $"point {MessageText.OneLine(row[header.Point.Index].Text)}", $"procedure {_procedure.Name} has {string.Join(", ", _procedure.PointsOfSpan.Select(Shown))}", "write the nominal, not what was reached");
            return null;
        }

        double pascals = _device.FromPascals + (share * _device.SpanPascals);
        foreach ((int Cycle, SeriesDirection Direction, double Nominal, List<Sample> Samples) point in _points)
        {
            if (point.Cycle == cycle && point.Direction == direction && Nominal.Key(_device, point.Nominal) == Nominal.KeyOfShare(share))
                return point.Samples;
        }

        _points.Add((cycle.Value, direction, pascals, []));
        return _points[^1].Samples;
    }

    private string Shown(double share) => string.Create(
        MessageText.Plain, $"{share * 100:0.###} % ({(_device.FromPascals + (share * _device.SpanPascals)) / _device.Unit.PascalsAsDouble:0.#####} {_device.Unit})");

    private double? Number(CsvField field, double factor)
    {
        string text = field.Text.Trim();
        if (double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out double value) && double.IsFinite(value))
            return value * factor;
        bool hasComma = text.Contains(',', StringComparison.Ordinal);
        _errors.Add(
            field.Where,
            text.Length == 0 ? "an empty field" : MessageText.OneLine(text),
            "it is a number; the decimal sign is a point and the unit stands in the first line",
            hasComma ? $"write {MessageText.OneLine(text.Replace(',', '.'))}" : "correct it or delete the row");
        return null;
    }

    private long? Micros(IReadOnlyList<CsvField> row, (int Index, double Factor)? column)
    {
        if (column is not { } at)
            return 0;
        if (Number(row[at.Index], at.Factor) is not { } micros)
            return null;
        if (Math.Abs(micros) <= MostMicros)
            return (long)Math.Round(micros);
        _errors.Add(row[at.Index].Where, $"time {MessageText.OneLine(row[at.Index].Text)}", "times count from the beginning of the run", "write seconds since then");
        return null;
    }

    private int? Cycle(CsvField field)
    {
        if (int.TryParse(field.Text.Trim(), NumberStyles.None, CultureInfo.InvariantCulture, out int cycle) && cycle >= 1 && cycle <= _procedure.Series.Count)
            return cycle;
        _errors.Add(field.Where, $"cycle {MessageText.OneLine(field.Text)}", $"procedure {_procedure.Name} has cycles 1 to {_procedure.Series.Count}", "correct it or choose another procedure");
        return null;
    }

    private bool? Truth(CsvField field)
    {
        switch (field.Text.Trim())
        {
            case "0":
                return false;
            case "1":
                return true;
            default:
                _errors.Add(field.Where, $"void {MessageText.OneLine(field.Text)}", "it is 0 for a sample that counts and 1 for one that does not", "write 0 or 1");
                return null;
        }
    }

    private IEnumerable<ZeroRecord> Zeros()
    {
        if (_before.Count > 0)
            yield return new ZeroRecord(true, _before);
        if (_after.Count > 0)
            yield return new ZeroRecord(false, _after);
    }

    private IEnumerable<PointRecord> Points() => _points.Select((point, i) =>
    {
        long first = point.Samples.Min(sample => sample.Reference.AskedMicros);
        PointMarks marks = point.Samples.Any(sample => sample.Void) ? PointMarks.VoidSamples : PointMarks.None;
        return new PointRecord(i + 1, point.Cycle, point.Direction, point.Nominal, first, first, first, marks, point.Samples);
    });
}
