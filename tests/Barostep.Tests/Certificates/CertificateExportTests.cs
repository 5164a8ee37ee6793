using System.Text;
using System.Text.Json;
using Barostep.Certificates;

namespace Barostep.Tests.Certificates;

public sealed class CertificateExportTests
{
    public static TheoryData<string> Names => [.. SampleCertificates.All.Keys];

    [Theory]
    [MemberData(nameof(Names))]
    public void The_same_certificate_gives_the_same_bytes(string name)
    {
        Certificate certificate = SampleCertificates.All[name];

        Assert.Equal(Written.Json(certificate), Written.Json(certificate));
        Assert.Equal(Written.Csv(certificate), Written.Csv(certificate));
        Assert.Equal(Written.Results(certificate), Written.Results(certificate));
    }

    [Fact]
    public void Json_keeps_the_figures_as_they_are_shown()
    {
        using JsonDocument file = JsonDocument.Parse(Written.Json(SampleCertificates.Issued));
        JsonElement point = file.RootElement.GetProperty("certificate").GetProperty("series")[0].GetProperty("points")[0];

        Assert.Equal("0.0120", point.GetProperty("shown").GetProperty("error").GetRawText());
        Assert.Equal("passed", point.GetProperty("conformity").GetString());
        Assert.Equal("ascending", point.GetProperty("direction").GetString());
    }

    [Fact]
    public void The_results_table_has_one_row_a_point_and_all_columns_in_each()
    {
        string[] rows = Encoding.UTF8.GetString(Written.Results(SampleCertificates.Adjusted)).Split("\r\n", StringSplitOptions.RemoveEmptyEntries);

        Assert.Equal(string.Join(',', CertificateCsv.ResultColumns), rows[0]);
        Assert.Equal(25, rows.Length);
        Assert.All(rows, row => Assert.Equal(CertificateCsv.ResultColumns.Count, row.Split(',').Length));
        Assert.Equal(
            "W-2026-0417,0,0,Results as found,0198c0de-0000-7000-8000-000000000001,1,1,up,bar,0.000,0.0000,4.0192,mA,0.0120,0.0120,0.120,0.0060,2.00,0.95,0.0500,0.0500,pass,",
            rows[1]);
    }

    [Theory]
    [MemberData(nameof(Names))]
    public void The_list_of_fields_has_every_text_of_the_json(string name)
    {
        Certificate certificate = SampleCertificates.All[name];
        string csv = Encoding.UTF8.GetString(Written.Csv(certificate)).Replace("\"\"", "\"", StringComparison.Ordinal);
        using JsonDocument file = JsonDocument.Parse(Written.Json(certificate));

        Assert.All(Texts(file.RootElement.GetProperty("certificate")), text => Assert.Contains(text, csv, StringComparison.Ordinal));
    }

    private static IEnumerable<string> Texts(JsonElement element) => element.ValueKind switch
    {
        JsonValueKind.Object => element.EnumerateObject().SelectMany(member => Texts(member.Value)),
        JsonValueKind.Array => element.EnumerateArray().SelectMany(Texts),
        JsonValueKind.String => [element.GetString()!],
        JsonValueKind.Number => [element.GetRawText()],
        _ => [],
    };
}
