using System.Runtime.CompilerServices;
using System.Xml;
using System.Xml.Linq;
using System.Xml.Schema;

namespace Barostep.Tests.Certificates;

/// <summary>The published schemas, rules and samples, which lie beside the repository and are no part of it.</summary>
internal static class PublishedSchemas
{
    public static string Folder { get; } = Path.GetFullPath(Path.Combine(RepositoryRoot(), "..", "shared", "dcc"));

    public static string RepositoryRoot([CallerFilePath] string here = "") =>
        Path.GetFullPath(Path.Combine(Path.GetDirectoryName(here)!, "..", "..", ".."));

    public static XDocument Sample(string name) => XDocument.Load(Path.Combine(Folder, "samples", name), LoadOptions.PreserveWhitespace);

    /// <summary>What the four schemas find, with places; nothing is fetched from the network.</summary>
    public static IReadOnlyList<string> Faults(Stream document)
    {
        List<string> faults = [];
        XmlReaderSettings settings = new()
        {
            ValidationType = ValidationType.Schema,
            ValidationFlags = XmlSchemaValidationFlags.ReportValidationWarnings | XmlSchemaValidationFlags.ProcessIdentityConstraints,
            Schemas = _schemas.Value,
            XmlResolver = null,
        };
        settings.ValidationEventHandler += (_, e) => faults.Add($"{e.Exception.LineNumber}:{e.Exception.LinePosition} {e.Severity}: {e.Message}");
        using XmlReader reader = XmlReader.Create(document, settings);
        while (reader.Read())
        {
        }

        return faults;
    }

    private static readonly Lazy<XmlSchemaSet> _schemas = new(() =>
    {
        XmlSchemaSet schemas = new() { XmlResolver = null };
        // Each needs the ones before it; the first has a document type of its own.
        foreach (string file in new[] { "xmldsig-core-schema.xsd", "qudt/v2.2.1.xsd", "dsi/v2.2.1.xsd", "v3.3.0/dcc.xsd" })
        {
            using XmlReader reader = XmlReader.Create(Path.Combine(Folder, file), new XmlReaderSettings { DtdProcessing = DtdProcessing.Parse, XmlResolver = null });
            schemas.Add(null, reader);
        }

        schemas.Compile();
        return schemas;
    });
}

/// <summary>Runs where the published schemas lie and in CI, where their absence is a failure; skipped elsewhere.</summary>
internal sealed class SchemaFactAttribute : FactAttribute
{
    public SchemaFactAttribute() => Skip = Directory.Exists(PublishedSchemas.Folder) || ExternalTool.InCi ? null : $"the published schemas are not in {PublishedSchemas.Folder}";
}

/// <summary>As <see cref="SchemaFactAttribute"/>, for several cases.</summary>
internal sealed class SchemaTheoryAttribute : TheoryAttribute
{
    public SchemaTheoryAttribute() => Skip = Directory.Exists(PublishedSchemas.Folder) || ExternalTool.InCi ? null : $"the published schemas are not in {PublishedSchemas.Folder}";
}
