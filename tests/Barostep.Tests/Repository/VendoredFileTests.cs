using System.Security.Cryptography;
using System.Text.RegularExpressions;

namespace Barostep.Tests.Repository;

/// <summary>The operator page brings all that it needs, and what others wrote is what they published.</summary>
public partial class VendoredFileTests
{
    private static readonly string Page = Path.Combine(RepositoryPaths.Root, "src", "Barostep.Daemon", "wwwroot");
    private static readonly string Vendor = Path.Combine(Page, "vendor");

    [Fact]
    public void Every_vendored_file_is_in_the_manifest_with_its_hash()
    {
        Dictionary<string, string> listed = Entry().Matches(File.ReadAllText(Path.Combine(Vendor, "MANIFEST.toml")))
            .ToDictionary(match => match.Groups[1].Value, match => match.Groups[2].Value);
        string[] there = [.. Directory.GetFiles(Vendor, "*", SearchOption.AllDirectories).Select(path => Path.GetRelativePath(Vendor, path)).Where(name => name != "MANIFEST.toml")];

        Assert.Equal(there.Order(StringComparer.Ordinal), listed.Keys.Order(StringComparer.Ordinal));
        Assert.All(there, name => Assert.Equal(listed[name], Convert.ToHexStringLower(SHA256.HashData(File.ReadAllBytes(Path.Combine(Vendor, name))))));
    }

    [Fact]
    public void The_page_loads_nothing_from_elsewhere()
    {
        Assert.All(
            Directory.GetFiles(Page).Where(path => Path.GetExtension(path) is ".html" or ".js" or ".css"),
            path => Assert.DoesNotMatch("(?:src|href|url|import|fetch)\\s*[=(]?\\s*[\"'(]?(?:https?:)?//", File.ReadAllText(path)));
    }

    [GeneratedRegex("^\"([^\"]+)\" = \"([0-9a-f]{64})\"$", RegexOptions.Multiline)]
    private static partial Regex Entry();
}
