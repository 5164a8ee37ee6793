using System.Text;
using System.Xml.Linq;
using Barostep.Certificates;
using Barostep.Evaluation;
using Barostep.Safety;
using Barostep.Tests.Records;

namespace Barostep.Tests.Certificates;

public sealed class CertificateXmlTests
{
    private static readonly XNamespace _dcc = "https://ptb.de/dcc";
    private static readonly XNamespace _si = "https://ptb.de/si";

    public static TheoryData<string> Names => [.. SampleCertificates.All.Keys];

    [SchemaTheory]
    [MemberData(nameof(Names))]
    public void Every_sample_is_valid_by_the_published_schemas(string name) =>
        Assert.Empty(PublishedSchemas.Faults(new MemoryStream(Written.Xml(SampleCertificates.All[name]))));

    [SchemaTheory]
    [MemberData(nameof(Names))]
    public void Every_sample_keeps_the_published_rules(string name) =>
        Assert.Empty(PublishedRules.Broken(Written.Document(SampleCertificates.All[name])));

    [SchemaFact]
    public void The_schemas_tell_the_published_valid_sample_from_the_invalid_one()
    {
        Assert.Empty(PublishedSchemas.Faults(File.OpenRead(Path.Combine(PublishedSchemas.Folder, "samples", "valid.xml"))));
        Assert.NotEmpty(PublishedSchemas.Faults(File.OpenRead(Path.Combine(PublishedSchemas.Folder, "samples", "invalid_schema.xml"))));
    }

    [SchemaFact]
    public void The_rules_tell_the_published_samples_apart()
    {
        // Both samples name no software for their results, which the published rules only warn of.
        string[] warned = ["missing software for a list"];

        Assert.Equal(warned, PublishedRules.Broken(PublishedSchemas.Sample("valid.xml")));
        Assert.Contains("language code en is not declared", PublishedRules.Broken(PublishedSchemas.Sample("invalid_schematron.xml")));
    }

    [SchemaTheory]
    [InlineData("usedMethods", null, "missing methods for a list")]
    [InlineData("usedSoftware", null, "missing software for a list")]
    [InlineData("influenceConditions", null, "missing conditions for a list")]
    [InlineData("usedLangCodeISO639_1", "de", "language code en is not declared")]
    [InlineData("mandatoryLangCodeISO639_1", "xx", "invalid language code xx")]
    [InlineData("countryCodeISO3166_1", "ZZ", "invalid country code ZZ")]
    [InlineData("beginPerformanceDate", "2027-01-01", "invalid date range")]
    [InlineData("release", "0.1", "invalid release 0.1")]
    [InlineData("nonSIUnit", "|psi", "undeclared unit |bar")]
    [InlineData("nonSIDefinition", null, "no definition of |bar")]
    [InlineData("valueXMLList", "1  2", "spacing of valueXMLList")]
    [InlineData("coverageFactorXMLList", "2 2", "count of coverageFactorXMLList differs from that of the values")]
    public void Each_rule_notices_its_breach(string element, string? value, string broken)
    {
        XDocument document = Written.Document(SampleCertificates.Issued);
        foreach (XElement found in document.Descendants().Where(one => one.Name.LocalName == element).ToArray())
        {
            if (value is null)
                found.Remove();
            else
                found.Value = value;
        }

        Assert.Contains(broken, PublishedRules.Broken(document));
    }

    [SchemaTheory]
    [MemberData(nameof(Units))]
    public void Every_unit_gives_a_valid_document(string symbol)
    {
        Certificate certificate = InUnit(PressureUnit.Find(symbol)!);

        Assert.Empty(PublishedSchemas.Faults(new MemoryStream(Written.Xml(certificate))));
        Assert.Empty(PublishedRules.Broken(Written.Document(certificate)));
    }

    public static TheoryData<string> Units => [.. PressureUnit.All.Select(unit => unit.Symbol)];

    [SchemaFact]
    public void A_run_without_any_point_and_texts_with_control_characters_give_a_valid_document()
    {
        CertifiedRun run = new(RunEvaluation.Evaluate(SampleCertificates.Record(SampleRuns.Transmitter, (_, _, _) => 0) with
        {
            Points = [],
            Zeros = [],
            Instruments = new Dictionary<string, string> { ["meter"] = "MAKER\u0003,\uFFFF<&>", ["source"] = "" },
        }));
        Certificate certificate = CertificateBuilder.From(run, SampleCertificates.Details);

        Assert.Empty(PublishedSchemas.Faults(new MemoryStream(Written.Xml(certificate))));
        Assert.Empty(PublishedRules.Broken(Written.Document(certificate)));
    }

    [ToolTheory("xmllint", withSchemas: true)]
    [MemberData(nameof(Names))]
    public void Another_validator_agrees(string name)
    {
        (int exitCode, string output) = Written.WithFile(
            Written.Xml(SampleCertificates.All[name]),
            path => ExternalTool.Run("xmllint", "--noout", "--nonet", "--schema", Path.Combine(PublishedSchemas.Folder, "v3.3.0", "dcc.xsd"), path));

        Assert.True(exitCode == 0, output);
    }

    [Theory]
    [MemberData(nameof(Names))]
    public void The_same_certificate_gives_the_same_bytes(string name) =>
        Assert.Equal(Written.Xml(SampleCertificates.All[name]), Written.Xml(SampleCertificates.All[name]));

    [Fact]
    public void Values_stand_in_pascals_beside_the_unit_of_the_item()
    {
        XElement error = Quantity(Written.Document(SampleCertificates.Issued), "basic_measurementError");
        XElement[] lists = [.. error.Element(_si + "hybrid")!.Elements(_si + "realListXMLList")];

        Assert.Equal([@"\pascal", "|bar"], lists.Select(list => list.Element(_si + "unitXMLList")!.Value));
        Assert.StartsWith("1200 980 760 ", lists[0].Element(_si + "valueXMLList")!.Value, StringComparison.Ordinal);
        Assert.StartsWith("0.0120 0.0098 0.0076 ", lists[1].Element(_si + "valueXMLList")!.Value, StringComparison.Ordinal);
        Assert.StartsWith("600 660 720 ", lists[0].Descendants(_si + "valueExpandedMUXMLList").Single().Value, StringComparison.Ordinal);
    }

    [Fact]
    public void A_point_without_a_reading_keeps_its_place_in_every_list()
    {
        XDocument document = Written.Document(SampleCertificates.All["torn"]);

        string[] errors = Quantity(document, "basic_measurementError").Descendants(_si + "valueXMLList").First().Value.Split(' ');
        Assert.Equal(5, errors.Length);
        Assert.Equal("NaN", errors[2]);
        Assert.Equal("pass pass noPass pass pass", document.Descendants(_dcc + "conformityXMLList").Single().Value);
    }

    [Fact]
    public void As_found_and_as_left_are_told_apart_by_the_state_of_their_conditions()
    {
        XElement[] results = [.. Written.Document(SampleCertificates.Adjusted).Descendants(_dcc + "measurementResult")];

        Assert.Equal(["beforeAdjustment"], results[0].Descendants(_dcc + "status").Select(status => status.Value).Distinct());
        Assert.Equal(["afterAdjustment"], results[1].Descendants(_dcc + "status").Select(status => status.Value).Distinct());
        Assert.Equal(["fail", "pass"], results.Select(result => result.Elements(_dcc + "measurementMetaData").Descendants(_dcc + "conformity").Single().Value));
    }

    [Fact]
    public void A_replacement_names_what_it_replaces()
    {
        XElement change = Written.Document(SampleCertificates.Adjusted).Descendants(_dcc + "reportAmendedSubstituted").Single();

        Assert.Equal("substituted", change.Element(_dcc + "typeOfChange")!.Value);
        Assert.Equal("W-2026-0415", change.Element(_dcc + "replacedUniqueIdentifier")!.Value);
    }

    [Fact]
    public void A_draft_says_so_and_has_no_date_of_issue()
    {
        string text = Encoding.UTF8.GetString(Written.Xml(SampleCertificates.Draft));

        Assert.Contains("refType=\"barostep_draft\"", text, StringComparison.Ordinal);
        Assert.Contains("refType=\"barostep_simulated\"", text, StringComparison.Ordinal);
        Assert.DoesNotContain("issueDate", text, StringComparison.Ordinal);
        Assert.DoesNotContain("expandedMU", text, StringComparison.Ordinal);
    }

    private static Certificate InUnit(PressureUnit unit)
    {
        decimal to = decimal.Round(1_000_000m / unit.Pascals, 3);
        StatedPressure Gauge(decimal value) => new(value, unit, PressureReference.Gauge);
        return CertificateBuilder.From(
            SampleCertificates.Run(
                SampleRuns.DigitalGauge with { RangeFrom = Gauge(0), RangeTo = Gauge(to), Rating = Gauge(2 * to), Floor = Gauge(0) },
                SampleCertificates.Errors(0.001, -0.002)),
            SampleCertificates.Details);
    }

    private static XElement Quantity(XDocument document, string refType) =>
        document.Descendants(_dcc + "quantity").First(quantity => quantity.Attribute("refType")?.Value == refType);
}
