using System.Reflection.Metadata;
using System.Reflection.PortableExecutable;
using System.Text.Json;
using System.Xml.Linq;
using Barostep.Tests.Processes;

namespace Barostep.Tests.Repository;

/// <summary>Which project may use what: the arrows of the architecture, read from the project files.</summary>
public class StructureTests
{
    private static readonly string[] ForbiddenFolders = ["Common", "Core", "Shared", "Utils", "Helpers", "Abstractions", "Infrastructure"];

    [Fact]
    public void The_safety_project_uses_the_base_class_library_only()
    {
        XDocument project = Load("src/Barostep.Safety/Barostep.Safety.csproj");

        Assert.Empty(References(project));
        // An analyzer works at build time and is in nothing that runs.
        Assert.All(project.Descendants("PackageReference"), package => Assert.Equal("all", package.Attribute("PrivateAssets")?.Value));
    }

    [Fact]
    public void The_simulators_use_nothing_of_the_product() =>
        Assert.Empty(References(Load("simulators/Barostep.Simulators/Barostep.Simulators.csproj")));

    [Fact]
    public void The_daemon_without_its_edges_uses_the_safety_project_only() =>
        Assert.Equal(["Barostep.Safety"], References(Load("src/Barostep/Barostep.csproj")));

    [Fact]
    [Trait("SR", "33")]
    public void The_guard_uses_no_http_and_no_log_of_any_library()
    {
        using JsonDocument needs = JsonDocument.Parse(File.ReadAllBytes(Path.ChangeExtension(Programs.Guard, ".runtimeconfig.json")));
        Assert.Equal("Microsoft.NETCore.App", needs.RootElement.GetProperty("runtimeOptions").GetProperty("framework").GetProperty("name").GetString());
        HashSet<string> used = UsedByOurs(Programs.Guard);

        Assert.Contains("Barostep.Safety", used);
        Assert.DoesNotContain("barostep", used);
        Assert.DoesNotContain(used, name => name.Contains("AspNetCore", StringComparison.Ordinal)
            || name.Contains("Http", StringComparison.Ordinal) || name.Contains("Serilog", StringComparison.Ordinal)
            || name.Contains("Logging", StringComparison.Ordinal) || name.Contains("Hosting", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("src/Barostep.Safety")]
    [InlineData("src/Barostep")]
    public void What_decides_reads_no_clock_and_starts_no_work(string project)
    {
        XDocument file = Load($"{project}/{Path.GetFileName(project)}.csproj");

        Assert.Contains(
            file.Descendants("AdditionalFiles"), extra => extra.Attribute("Include")!.Value.EndsWith("BannedSymbols.txt", StringComparison.Ordinal));
        Assert.DoesNotContain("async ", string.Concat(Sources(project).Select(File.ReadAllText)), StringComparison.Ordinal);
    }

    [Fact]
    public void No_folder_is_named_for_want_of_a_name()
    {
        IEnumerable<string> folders = new[] { "src", "simulators", "tests" }
            .SelectMany(top => Directory.GetDirectories(Path.Combine(RepositoryPaths.Root, top), "*", SearchOption.AllDirectories))
            .Where(folder => !folder.Contains("/bin", StringComparison.Ordinal) && !folder.Contains("/obj", StringComparison.Ordinal))
            .Select(folder => Path.GetFileName(folder)!);

        Assert.Empty(folders.Intersect(ForbiddenFolders));
    }

    /// <summary>Names of the assemblies that a program and those of ours beside it refer to.</summary>
    private static HashSet<string> UsedByOurs(string program)
    {
        var names = new HashSet<string>(StringComparer.Ordinal);
        var open = new Stack<string>([program]);
        while (open.TryPop(out string? path))
        {
            using var file = new PEReader(File.OpenRead(path));
            MetadataReader metadata = file.GetMetadataReader();
            foreach (AssemblyReferenceHandle reference in metadata.AssemblyReferences)
            {
                string name = metadata.GetString(metadata.GetAssemblyReference(reference).Name);
                if (names.Add(name) && name.StartsWith("Barostep.", StringComparison.Ordinal))
                    open.Push(Path.Combine(Path.GetDirectoryName(program)!, $"{name}.dll"));
            }
        }

        return names;
    }

    private static XDocument Load(string path) => XDocument.Load(Path.Combine(RepositoryPaths.Root, path));

    private static IEnumerable<string> References(XDocument project) => project.Descendants("ProjectReference")
        .Select(reference => Path.GetFileNameWithoutExtension(reference.Attribute("Include")!.Value.Replace('\\', '/')));

    private static IEnumerable<string> Sources(string project) => Directory
        .GetFiles(Path.Combine(RepositoryPaths.Root, project), "*.cs", SearchOption.AllDirectories)
        .Where(file => !file.Contains("/obj/", StringComparison.Ordinal) && !file.Contains("/bin/", StringComparison.Ordinal));
}
