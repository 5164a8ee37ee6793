using System.Globalization;
using System.Text;
using Barostep.Configuration;
using Barostep.Evaluation;
using Barostep.Records;
using Barostep.Safety;
using CsCheck;

namespace Barostep.Tests.Records;

public sealed class ReadingsCsvTests
{
    [Fact]
    public void Every_sample_has_a_row_and_every_row_every_column() =>
        SampleRuns.Random.Sample(
            record =>
            {
                List<string[]> rows = Parsed(Written(record));
                int samples = record.Zeros.Sum(zero => zero.Samples.Count) + record.Points.Sum(point => point.Samples.Count);
                Assert.Equal(samples + 1, rows.Count);
                Assert.All(rows, row => Assert.Equal(ReadingsCsv.Columns(record.Device).Count, row.Length));
            },
            iter: 200);

    [Fact]
    public void Numbers_and_raw_texts_read_back_to_what_they_were() =>
        SampleRuns.Random.Sample(
            record =>
            {
                List<string[]> rows = Parsed(Written(record));
                int reference = Array.IndexOf(rows[0], "reference_pa");
                int raw = Array.IndexOf(rows[0], "indication_raw");
                Sample[] samples =
                [
                    .. record.Zeros.Where(zero => zero.BeforeSeries).SelectMany(zero => zero.Samples),
                    .. record.Points.SelectMany(point => point.Samples),
                    .. record.Zeros.Where(zero => !zero.BeforeSeries).SelectMany(zero => zero.Samples),
                ];
                for (int i = 0; i < samples.Length; i++)
                {
                    Assert.Equal(samples[i].Reference.Value, double.Parse(rows[i + 1][reference], CultureInfo.InvariantCulture));
                    Assert.Equal(samples[i].Indication.Raw, rows[i + 1][raw]);
                }
            },
            iter: 200);

    [Fact]
    public void The_error_column_averages_to_the_error_of_the_result()
    {
        RunRecord record = SampleRuns.Run(SampleRuns.Transmitter, SampleRuns.UpAndDown, (_, _, share) => 0.002 - (0.0035 * share));
        List<string[]> rows = Parsed(Written(record));
        int error = Array.IndexOf(rows[0], "error_pa");
        int point = Array.IndexOf(rows[0], "point");

        foreach (PointResult result in RunEvaluation.Evaluate(record).Points)
        {
            string index = result.Index.ToString(CultureInfo.InvariantCulture);
            double mean = rows.Where(row => row[point] == index).Average(row => double.Parse(row[error], CultureInfo.InvariantCulture));
            Assert.Equal(result.Values!.ErrorPascals, mean, 1e-6);
        }
    }

    [Fact]
    public void Lines_end_in_carriage_return_and_line_feed_and_the_culture_does_not_matter()
    {
        RunRecord record = SampleRuns.Run(SampleRuns.Transmitter, SampleRuns.UpAndDown, (_, _, _) => 0.001);
        byte[] first = Written(record);
        CultureInfo before = CultureInfo.CurrentCulture;
        try
        {
            CultureInfo comma = (CultureInfo)CultureInfo.InvariantCulture.Clone();
            comma.NumberFormat.NumberDecimalSeparator = ",";
            CultureInfo.CurrentCulture = comma;
            Assert.Equal(first, Written(record));
        }
        finally
        {
            CultureInfo.CurrentCulture = before;
        }

        string text = Encoding.UTF8.GetString(first);
        Assert.Equal(text.Count(c => c == '\n'), text.Split("\r\n").Length - 1);
        Assert.EndsWith("\r\n", text, StringComparison.Ordinal);
        Assert.NotEqual(0xEF, first[0]);
    }

    [Fact]
    public void No_two_columns_share_a_name_in_any_unit_even_where_case_is_lost()
    {
        foreach (PressureUnit unit in PressureUnit.All)
        {
            DeviceDefinition device = SampleRuns.DigitalGauge with { RangeFrom = new StatedPressure(0, unit, PressureReference.Gauge) };
            IReadOnlyList<string> columns = ReadingsCsv.Columns(device);
            Assert.Equal(columns.Count, columns.Distinct(StringComparer.OrdinalIgnoreCase).Count());
        }
    }

    internal static byte[] Written(RunRecord record)
    {
        using MemoryStream stream = new();
        ReadingsCsv.Write(stream, record);
        return stream.ToArray();
    }

    // A reader written from RFC 4180 section 2, not from the writer.
    private static List<string[]> Parsed(byte[] bytes)
    {
        string text = Encoding.UTF8.GetString(bytes);
        List<string[]> rows = [];
        List<string> row = [];
        StringBuilder field = new();
        bool quoted = false;
        for (int i = 0; i < text.Length; i++)
        {
            char c = text[i];
            if (quoted && c == '"' && i + 1 < text.Length && text[i + 1] == '"')
                field.Append(text[++i]);
            else if (c == '"')
                quoted = !quoted;
            else if (!quoted && (c == ',' || (c == '\r' && text[i + 1] == '\n')))
            {
                row.Add(field.ToString());
                field.Clear();
                if (c == ',')
                    continue;
                i++;
                rows.Add([.. row]);
                row.Clear();
            }
            else
                field.Append(c);
        }

        return rows;
    }
}
