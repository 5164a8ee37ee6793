using System.Globalization;
using System.Text;
using System.Text.Json;

namespace Barostep.Certificates;

/// <summary>The certificate for spreadsheets (RFC 4180, UTF-8, CRLF): everything by path, or the results as a table.</summary>
public static class CertificateCsv
{
    /// <summary>Columns of the results table; pressures are in the item's unit where no other is named.</summary>
    public static IReadOnlyList<string> ResultColumns { get; } =
    [
        "certificate", "draft", "simulated", "state", "run_id", "point", "cycle", "direction", "unit", "nominal", "reference", "output",
        "output_unit", "indication", "error", "error_percent_of_span", "uncertainty", "coverage_factor", "coverage_probability",
        "limit", "acceptance_limit", "conformity", "remarks",
    ];

    /// <summary>Every field of the certificate with its path, one row each.</summary>
    public static void Write(Stream stream, Certificate certificate)
    {
        using StreamWriter writer = new(stream, new UTF8Encoding(false), leaveOpen: true);
        Row(writer, ["field", "value"]);
        foreach ((string path, string value) in Leaves(CertificateJson.Tree(certificate), string.Empty))
            Row(writer, [path, value]);
    }

    /// <summary>The results, one row a point, with the figures as the certificate shows them.</summary>
    public static void WriteResults(Stream stream, Certificate certificate)
    {
        using StreamWriter writer = new(stream, new UTF8Encoding(false), leaveOpen: true);
        Row(writer, ResultColumns);
        foreach (CertificateSeries series in certificate.Series)
        {
            foreach (CertificatePoint point in series.Points)
                Row(writer, ResultRow(certificate, series, point));
        }
    }

    private static string[] ResultRow(Certificate certificate, CertificateSeries series, CertificatePoint point)
    {
        ShownFigures shown = point.Shown;
        return
        [
            certificate.Number, Flag(certificate.IsDraft), Flag(certificate.Simulated), series.Title, series.RunId,
            Whole(point.Index), Whole(point.Cycle), Wording.Direction(point.Direction), certificate.Item.Unit,
            Number(shown.Nominal), Number(shown.Reference), Number(shown.Output), certificate.Item.OutputUnit ?? string.Empty,
            Number(shown.Indication), Number(shown.Error), Number(shown.ErrorPercentOfSpan), Number(shown.Uncertainty),
            Number(shown.CoverageFactor), Number((decimal?)point.Uncertainty?.Probability), Number(shown.Limit), Number(shown.Acceptance ?? shown.Limit),
            Wording.Verdict(point.Conformity, point.Zone), string.Join("; ", point.Remarks),
        ];
    }

    private static IEnumerable<(string Path, string Value)> Leaves(JsonElement element, string path) => element.ValueKind switch
    {
        JsonValueKind.Object => element.EnumerateObject()
            .SelectMany(member => Leaves(member.Value, path.Length == 0 ? member.Name : $"{path}.{member.Name}")),
        JsonValueKind.Array => element.EnumerateArray().SelectMany((item, at) => Leaves(item, $"{path}[{at}]")),
        JsonValueKind.Null => [(path, string.Empty)],
        _ => [(path, element.ToString())],
    };

    private static void Row(TextWriter writer, IReadOnlyList<string> fields)
    {
        writer.Write(string.Join(',', fields.Select(Quoted)));
        writer.Write("\r\n");
    }

    private static string Quoted(string field) => field.AsSpan().IndexOfAny("\",\r\n") < 0
        ? field
        : $"\"{field.Replace("\"", "\"\"", StringComparison.Ordinal)}\"";

    private static string Flag(bool value) => value ? "1" : "0";

    private static string Whole(int value) => value.ToString(CultureInfo.InvariantCulture);

    private static string Number(decimal? value) => value?.ToString(CultureInfo.InvariantCulture) ?? string.Empty;
}
