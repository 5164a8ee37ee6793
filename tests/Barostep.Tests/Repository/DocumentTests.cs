using System.Reflection;
using System.Text.RegularExpressions;

namespace Barostep.Tests.Repository;

/// <summary>Pages that name code are held to the code.</summary>
public partial class DocumentTests
{
    private static readonly Assembly[] Product =
    [
        typeof(Barostep.Safety.SafetyKernel).Assembly,
        typeof(Barostep.Control.GuardHalf).Assembly,
        typeof(Barostep.Simulators.SimulatedBench).Assembly,
        typeof(Barostep.Lines.LinePump).Assembly,
        Assembly.Load("barostep"),
        Assembly.Load("Barostep.Lines"),
        Assembly.Load("barostep-guard"),
    ];

    [Theory]
    [InlineData("docs/one-reading.md")]
    [InlineData("docs/safety.md")]
    public void Every_type_and_member_that_a_page_names_exists(string page)
    {
        string text = File.ReadAllText(Path.Combine(RepositoryPaths.Root, page));
        string[] names = [.. CodeName().Matches(text).Select(match => match.Groups[1].Value).Distinct()];

        Assert.True(names.Length > 10, $"{page} names hardly any code");
        Assert.All(names, name => Assert.True(Exists(name), $"{page} names {name}, which is not in the code"));
    }

    [Theory]
    [InlineData("README.md")]
    [InlineData("DEVELOPERS.md")]
    [InlineData("docs/safety.md")]
    public void Every_link_of_a_page_leads_somewhere(string page)
    {
        string text = File.ReadAllText(Path.Combine(RepositoryPaths.Root, page));

        Assert.All(
            Link().Matches(text).Select(match => match.Groups[1].Value),
            link => Assert.True(Path.Exists(Path.Combine(RepositoryPaths.Root, Path.GetDirectoryName(page)!, link)), $"{page} links to {link}"));
    }

    private static bool Exists(string name)
    {
        string[] parts = name.Split('.');
        IEnumerable<Type> types = Product.SelectMany(assembly => assembly.GetTypes()).Where(type => type.Name == parts[0]);
        return parts.Length == 1
            ? types.Any()
            : types.Any(type => type.GetMember(parts[1], BindingFlags.Public | BindingFlags.Static | BindingFlags.Instance).Length > 0);
    }

    [GeneratedRegex("`([A-Z][A-Za-z]+(?:\\.[A-Z][A-Za-z]+)?)`")]
    private static partial Regex CodeName();

    [GeneratedRegex("\\]\\((?!https?:)([^)#]+)\\)")]
    private static partial Regex Link();
}
