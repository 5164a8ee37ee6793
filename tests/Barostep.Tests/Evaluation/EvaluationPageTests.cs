using System.Reflection;
using System.Runtime.CompilerServices;
using System.Text.RegularExpressions;
using Barostep.Evaluation;

namespace Barostep.Tests.Evaluation;

/// <summary>docs/evaluation.md names where each formula lives; what it names exists.</summary>
public sealed partial class EvaluationPageTests
{
    private static readonly string _page = File.ReadAllText(PathInDocs("evaluation.md"));

    [Fact]
    public void Every_type_and_member_that_the_page_names_exists()
    {
        string[] named = [.. CodeNames().Matches(_page).Select(match => match.Groups[1].Value).Distinct()];

        Assert.True(named.Length > 60, $"only {named.Length} names found");
        Assert.All(named, name => Assert.True(Exists(name), $"{name} is not in the code"));
    }

    [Fact]
    public void Every_public_type_of_the_evaluation_is_named_on_the_page()
    {
        IEnumerable<string> types = typeof(RunEvaluation).Assembly.GetExportedTypes()
            .Where(type => type.Namespace!.StartsWith("Barostep.Evaluation", StringComparison.Ordinal) && !type.IsNested)
            .Select(type => type.Name);

        Assert.All(types, name => Assert.True(Regex.IsMatch(_page, $"`{name}[`.]"), $"{name} is not on the page"));
    }

    [Fact]
    public void Every_file_that_the_page_names_is_there() =>
        Assert.All(
            FileNames().Matches(_page).Select(match => match.Groups[1].Value).Distinct(),
            path => Assert.True(File.Exists(PathInDocs("..", path)), path));

    internal static string PathInDocs(params string[] below) => Path.Combine([Docs(), .. below]);

    private static string Docs([CallerFilePath] string here = "") =>
        Path.GetFullPath(Path.Combine(Path.GetDirectoryName(here)!, "..", "..", "..", "docs"));

    private static bool Exists(string name)
    {
        string[] parts = name.Split('.');
        return typeof(RunEvaluation).Assembly.GetTypes()
            .Where(type => type.Namespace?.StartsWith("Barostep.Evaluation", StringComparison.Ordinal) == true && type.Name == parts[0])
            .Any(type => parts.Length == 1 || Has(type, parts[1]));
    }

    private static bool Has(Type type, string member) =>
        type.GetMember(member, BindingFlags.Public | BindingFlags.NonPublic | BindingFlags.Instance | BindingFlags.Static | BindingFlags.DeclaredOnly).Length > 0;

    // A name in code type that begins with a capital: a type, or a type and its member.
    [GeneratedRegex("`([A-Z][a-z][A-Za-z0-9]*(?:\\.[A-Z][A-Za-z0-9]*)?)`")]
    private static partial Regex CodeNames();

    [GeneratedRegex("`(docs/[^`\\s]+\\.(?:toml|csv))`")]
    private static partial Regex FileNames();
}
