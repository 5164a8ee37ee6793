using System.Collections;
using System.Globalization;
using System.Reflection;
using System.Text.Json;
using System.Text.RegularExpressions;
using Barostep.Certificates;

namespace Barostep.Tests.Certificates;

/// <summary>Holds docs/certificate.md against the model, and the formats against what the page says of them.</summary>
public sealed partial class CertificatePageTests
{
    private const int Pdf = 3;
    private const int Xml = 4;

    private static readonly string _page = File.ReadAllText(Path.Combine(PublishedSchemas.RepositoryRoot(), "docs", "certificate.md"));

    public static TheoryData<string> Names => [.. SampleCertificates.All.Keys];

    [Fact]
    public void The_page_has_a_section_for_each_record_of_the_model() =>
        Assert.Equal(Records().Select(type => type.Name).Order(), Sections().Matches(_page).Select(match => match.Groups[1].Value).Order());

    [Fact]
    public void Each_section_lists_the_fields_in_their_order() =>
        Assert.All(Records(), type => Assert.Equal(Fields(type).Select(JsonName), Rows(type).Select(row => row[1].Trim('`'))));

    [Fact]
    public void Each_field_names_a_clause_and_its_place_in_the_formats() =>
        Assert.All(Records().SelectMany(Rows), row => Assert.All(row[2..5], cell => Assert.NotEqual("", cell)));

    [ToolTheory("pdftotext")]
    [MemberData(nameof(Names))]
    public void The_pdf_has_what_the_page_says(string name)
    {
        string text = Packed(Written.PdfText(SampleCertificates.All[name]));

        Assert.All(Said(SampleCertificates.All[name], Pdf), value => Assert.Contains(Packed(value), text, StringComparison.Ordinal));
    }

    [Theory]
    [MemberData(nameof(Names))]
    public void The_xml_has_what_the_page_says(string name)
    {
        string text = Packed(Written.Document(SampleCertificates.All[name]).Root!.Value);

        Assert.All(Said(SampleCertificates.All[name], Xml), value => Assert.Contains(Packed(value), text, StringComparison.Ordinal));
    }

    /// <summary>The values of all fields that the page promises as they are, for one format.</summary>
    private static IEnumerable<string> Said(object record, int format)
    {
        string[] promised = [.. Rows(record.GetType()).Where(row => row[format].StartsWith("yes", StringComparison.Ordinal)).Select(row => row[1].Trim('`'))];
        foreach (PropertyInfo field in Fields(record.GetType()))
        {
            object? value = field.GetValue(record);
            foreach (object one in value is IEnumerable many and not string ? many.Cast<object>() : value is null ? [] : [value])
            {
                if (one.GetType().Namespace == typeof(Certificate).Namespace && one is not Enum)
                {
                    foreach (string inner in Said(one, format))
                        yield return inner;
                }
                else if (promised.Contains(JsonName(field)))
                {
                    yield return Text(one);
                }
            }
        }
    }

    private static string Text(object value) => value switch
    {
        string text => text,
        DateOnly date => date.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture),
        decimal figure => figure.ToString(CultureInfo.InvariantCulture),
        _ => throw new NotSupportedException($"the page says \"yes\" to a {value.GetType().Name}, which no format shows as it is"),
    };

    private static List<Type> Records()
    {
        List<Type> found = [typeof(Certificate)];
        for (int i = 0; i < found.Count; i++)
        {
            IEnumerable<Type> inner = Fields(found[i])
                .Select(field => field.PropertyType.IsGenericType ? field.PropertyType.GetGenericArguments()[0] : field.PropertyType)
                .Where(type => type.Namespace == typeof(Certificate).Namespace && !type.IsEnum);
            found.AddRange(inner.Where(type => !found.Contains(type)).Distinct());
        }

        return found;
    }

    private static PropertyInfo[] Fields(Type type) => type.GetProperties(BindingFlags.Public | BindingFlags.Instance);

    private static string JsonName(PropertyInfo field) => JsonNamingPolicy.CamelCase.ConvertName(field.Name);

    private static IEnumerable<string[]> Rows(Type type)
    {
        string section = _page[_page.IndexOf($"\n### `{type.Name}`\n", StringComparison.Ordinal)..];
        int end = section.IndexOf("\n### ", 5, StringComparison.Ordinal);
        return (end < 0 ? section : section[..end]).Split('\n')
            .Where(line => line.StartsWith("| `", StringComparison.Ordinal))
            .Select(line => line.Split('|').Select(cell => cell.Trim()).ToArray());
    }

    // Lines are broken differently in each format, and paper has a true minus sign.
    private static string Packed(string text) => Space().Replace(text, "").Replace('−', '-');

    [GeneratedRegex(@"^### `(\w+)`$", RegexOptions.Multiline)]
    private static partial Regex Sections();

    [GeneratedRegex(@"\s+")]
    private static partial Regex Space();
}
