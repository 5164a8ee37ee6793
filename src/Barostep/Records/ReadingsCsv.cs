using System.Globalization;
using System.Text;
using Barostep.Configuration;
using Barostep.Evaluation;
using Barostep.Evaluation.Corrections;

namespace Barostep.Records;

/// <summary>readings.csv: every sample of a run, void and zero readings included (RFC 4180, UTF-8, CRLF).</summary>
/// <remarks>Numbers are the shortest that read back to the same double. The same record gives the same bytes.</remarks>
public static class ReadingsCsv
{
    /// <summary>Header names, in order; units are part of the names, so they follow the device.</summary>
    public static IReadOnlyList<string> Columns(DeviceDefinition device)
    {
        string unit = device.Unit.Symbol;
        return
        [
            "run_id", "kind", "point", "cycle", "direction", "nominal_pa", $"nominal_in_{unit}", "sample",
            "reference_pa", $"reference_in_{unit}", "reference_raw", "reference_asked_s", "reference_answered_s",
            "reference_at_indication_pa",
            OutputColumn(device), "indication_pa", $"indication_in_{unit}", "indication_raw", "indication_asked_s",
            "indication_answered_s", "error_pa", "void", "marks",
        ];
    }

    public static void Write(Stream stream, RunRecord record)
    {
        using StreamWriter writer = new(stream, new UTF8Encoding(false), leaveOpen: true);
        Row(writer, Columns(record.Device));
        RunCorrections corrections = RunCorrections.Of(record);
        foreach (ZeroRecord zero in record.Zeros.Where(zero => zero.BeforeSeries))
            Rows(writer, record, corrections, zero.Samples, ["zero_before", "", "", "", "", ""], "");
        foreach (PointRecord point in record.Points)
            Rows(writer, record, corrections, point.Samples, PlaceOf(record.Device, point), string.Join(' ', JsonWords.OfEach(point.Marks)));
        foreach (ZeroRecord zero in record.Zeros.Where(zero => !zero.BeforeSeries))
            Rows(writer, record, corrections, zero.Samples, ["zero_after", "", "", "", "", ""], "");
    }

    private static string OutputColumn(DeviceDefinition device) => device.Output switch
    {
        DeviceOutput.Current => "output_a",
        DeviceOutput.Voltage => "output_v",
        DeviceOutput.Digital or DeviceOutput.Dial => "output_pa",
        DeviceOutput.Contact => device.Contact!.Reading == ContactReading.Resistance ? "contact_ohm" : "contact_v",
        _ => throw new ArgumentOutOfRangeException(nameof(device), device.Output, "unknown output"),
    };

    private static string[] PlaceOf(DeviceDefinition device, PointRecord point) =>
    [
        "point",
        Whole(point.Index),
        Whole(point.Cycle),
        JsonWords.Of(point.Direction),
        Number(point.NominalPascals),
        Number(point.NominalPascals / device.Unit.PascalsAsDouble),
    ];

    private static void Rows(TextWriter writer, RunRecord record, RunCorrections corrections, IReadOnlyList<Sample> samples, string[] place, string marks)
    {
        double unit = record.Device.Unit.PascalsAsDouble;
        for (int i = 0; i < samples.Count; i++)
        {
            Sample sample = samples[i];
            double referenceThen = corrections.Reference(SampleErrors.ReferenceAt(samples, sample));
            double output = corrections.Output(sample.Indication.Value);
            // A contact tells no pressure.
            double? indication = record.Device.Output == DeviceOutput.Contact ? null : Transfer.ToPascals(record.Device, output);
            Row(
                writer,
                [
                    record.Id, .. place, Whole(i + 1),
                    Number(sample.Reference.Value), Number(sample.Reference.Value / unit), sample.Reference.Raw,
                    Seconds(sample.Reference.AskedMicros), Seconds(sample.Reference.AnsweredMicros),
                    Number(referenceThen),
                    Number(output), Number(indication), Number(indication / unit), sample.Indication.Raw,
                    Seconds(sample.Indication.AskedMicros), Seconds(sample.Indication.AnsweredMicros),
                    Number(indication - referenceThen), sample.Void ? "1" : "0", marks,
                ]);
        }
    }

    private static void Row(TextWriter writer, IReadOnlyList<string> fields)
    {
        writer.Write(string.Join(',', fields.Select(Quoted)));
        writer.Write("\r\n");
    }

    private static string Quoted(string field) => field.AsSpan().IndexOfAny("\",\r\n") < 0
        ? field
        : $"\"{field.Replace("\"", "\"\"", StringComparison.Ordinal)}\"";

    private static string Number(double? value) => value is { } known ? Number(known) : string.Empty;

    private static string Number(double value) => value.ToString("R", CultureInfo.InvariantCulture);

    private static string Whole(int value) => value.ToString(CultureInfo.InvariantCulture);

    // Through decimal: a microsecond count divided in double would not print its six decimals.
    private static string Seconds(long micros) => (micros / 1_000_000m).ToString("0.000000", CultureInfo.InvariantCulture);
}
