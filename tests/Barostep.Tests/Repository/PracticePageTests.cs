using System.CommandLine;
using System.Text.RegularExpressions;

namespace Barostep.Tests.Repository;

/// <summary>docs/practice.md names a place for each need of the trade; what it names exists.</summary>
public sealed partial class PracticePageTests
{
    private static readonly string _page = File.ReadAllText(Path.Combine(RepositoryPaths.Root, "docs", "practice.md"));
    private static readonly string[] _named = [.. CodeWords().Matches(_page).Select(match => match.Groups[1].Value).Distinct()];

    [Fact]
    public void It_has_a_row_for_each_of_the_53_needs() =>
        Assert.Equal(Enumerable.Range(1, 53), Rows().Matches(_page).Select(match => int.Parse(match.Groups[1].Value, System.Globalization.CultureInfo.InvariantCulture)));

    [Fact]
    public void Each_row_says_where_or_what_it_waits_for() =>
        Assert.All(
            _page.Split('\n').Where(line => Rows().IsMatch(line)),
            line => Assert.True(line.Contains('`', StringComparison.Ordinal) || line.Contains("Later:", StringComparison.Ordinal), line));

    [Fact]
    public void Each_file_that_it_names_is_there() =>
        Assert.All(
            _named.Where(name => name.Contains('/', StringComparison.Ordinal)),
            path => Assert.True(File.Exists(Path.Combine(RepositoryPaths.Root, path)), path));

    [Fact]
    public void Each_command_and_option_that_it_names_is_understood()
    {
        RootCommand root = Root();
        string[] options = [.. Descendants(root).SelectMany(command => command.Options).Select(option => option.Name)];
        string[] commands = [.. _named.Where(name => Words().IsMatch(name) && root.Subcommands.Any(command => command.Name == name.Split(' ')[0]))];

        Assert.True(commands.Length > 15, $"only {string.Join(", ", commands)}");
        Assert.All(commands, name => Assert.True(Exists(root, name.Split(' ')), name));
        Assert.All(_named.Where(name => name.StartsWith("--", StringComparison.Ordinal)), name => Assert.Contains(name, options));
    }

    [Fact]
    public void Each_key_and_table_that_it_names_is_on_the_page_of_the_configuration()
    {
        string configuration = File.ReadAllText(Path.Combine(RepositoryPaths.Root, "docs", "configuration.md"));

        Assert.All(_named.Where(name => name[0] == '['), table => Assert.Contains(table, configuration, StringComparison.Ordinal));
        Assert.All(
            _named.Where(name => Words().IsMatch(name) && !Root().Subcommands.Any(command => command.Name == name.Split(' ')[0])),
            key => Assert.Contains($"`{key}`", configuration, StringComparison.Ordinal));
    }

    [Fact]
    public void Each_type_that_it_names_is_on_the_page_of_the_evaluation()
    {
        string evaluation = File.ReadAllText(Path.Combine(RepositoryPaths.Root, "docs", "evaluation.md"));

        Assert.All(_named.Where(name => TypeName().IsMatch(name)), type => Assert.Contains($"`{type}", evaluation, StringComparison.Ordinal));
    }

    private static bool Exists(Command command, string[] path) => path.Length == 0
        || (command.Subcommands.FirstOrDefault(one => one.Name == path[0]) is { } next && Exists(next, path[1..]));

    private static IEnumerable<Command> Descendants(Command command) => command.Subcommands.SelectMany(Descendants).Prepend(command);

    private static RootCommand Root() => Barostep.Daemon.Commands.CommandLine.Root(new Barostep.Daemon.Commands.CommandIo(TextWriter.Null, TextWriter.Null, false));

    [GeneratedRegex("`([^`]+)`")]
    private static partial Regex CodeWords();

    [GeneratedRegex(@"^\| (\d+) \|", RegexOptions.Multiline)]
    private static partial Regex Rows();

    [GeneratedRegex("^[a-z][a-z_ -]+$")]
    private static partial Regex Words();

    [GeneratedRegex("^[A-Z][A-Za-z]+$")]
    private static partial Regex TypeName();
}
