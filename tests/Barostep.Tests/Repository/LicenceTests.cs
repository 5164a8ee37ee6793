using System.Xml.Linq;

namespace Barostep.Tests.Repository;

/// <summary>Every package has a permissive licence; a new one is entered here by somebody who has read it.</summary>
public class LicenceTests
{
    private static readonly Dictionary<string, string> Licences = new(StringComparer.Ordinal)
    {
        ["CsCheck"] = "Apache-2.0",
        ["MailKit"] = "MIT",
        ["MathNet.Numerics"] = "MIT",
        ["Microsoft.AspNetCore.OpenApi"] = "MIT",
        ["Microsoft.CodeAnalysis.BannedApiAnalyzers"] = "MIT",
        ["Microsoft.Data.Sqlite"] = "MIT",
        ["Microsoft.Extensions.Hosting"] = "MIT",
        ["Microsoft.NET.Test.Sdk"] = "MIT",
        ["OpenTelemetry"] = "Apache-2.0",
        ["OpenTelemetry.Exporter.InMemory"] = "Apache-2.0",
        ["OpenTelemetry.Exporter.OpenTelemetryProtocol"] = "Apache-2.0",
        ["OpenTelemetry.Extensions.Hosting"] = "Apache-2.0",
        ["PDFsharp"] = "MIT",
        ["Polly.Core"] = "BSD-3-Clause",
        ["PuppeteerSharp"] = "MIT",
        ["Serilog"] = "Apache-2.0",
        ["Serilog.Extensions.Hosting"] = "Apache-2.0",
        ["Serilog.Formatting.Compact"] = "Apache-2.0",
        ["Serilog.Sinks.Console"] = "Apache-2.0",
        ["Serilog.Sinks.File"] = "Apache-2.0",
        ["Stateless"] = "Apache-2.0",
        ["System.CommandLine"] = "MIT",
        ["System.IO.Ports"] = "MIT",
        ["System.Security.Cryptography.Xml"] = "MIT",
        ["WebDriverBiDi"] = "MIT",
        ["Tomlyn"] = "BSD-2-Clause",
        ["xunit"] = "Apache-2.0",
        ["xunit.runner.visualstudio"] = "Apache-2.0",
    };

    [Fact]
    public void Every_package_is_pinned_and_has_a_known_permissive_licence()
    {
        XDocument versions = XDocument.Load(Path.Combine(RepositoryPaths.Root, "Directory.Packages.props"));

        Assert.All(versions.Descendants("PackageVersion"), package =>
        {
            string name = package.Attribute("Include")!.Value;
            Assert.True(Licences.ContainsKey(name), $"{name}: read its licence and enter it here");
            Assert.Matches("^\\[?[0-9]+(\\.[0-9]+)+\\]?$", package.Attribute("Version")!.Value);
        });
    }

    [Fact]
    public void The_pdf_library_stays_at_its_last_version_under_MIT()
    {
        XDocument versions = XDocument.Load(Path.Combine(RepositoryPaths.Root, "Directory.Packages.props"));

        Assert.All(
            versions.Descendants("PackageVersion").Where(package => package.Attribute("Include")!.Value == "PDFsharp"),
            package => Assert.Equal("[6.2.4]", package.Attribute("Version")!.Value));
    }
}
