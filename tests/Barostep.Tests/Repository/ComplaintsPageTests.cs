using System.CommandLine;
using System.Text.RegularExpressions;

namespace Barostep.Tests.Repository;

/// <summary>docs/complaints-answered.md has an answer to each complaint, and what an answer names exists.</summary>
public sealed partial class ComplaintsPageTests
{
    private static readonly string _page = File.ReadAllText(Path.Combine(RepositoryPaths.Root, "docs", "complaints-answered.md"));
    private static readonly string[] _named = [.. CodeWords().Matches(_page).Select(match => match.Groups[1].Value).Distinct()];

    [Fact]
    public void It_has_a_row_for_each_of_the_25() =>
        Assert.Equal(Enumerable.Range(1, 25), Rows().Matches(_page).Select(match => int.Parse(match.Groups[1].Value, System.Globalization.CultureInfo.InvariantCulture)));

    [Fact]
    public void Each_file_that_it_names_is_there() => Assert.All(
        _named.Where(name => name.Contains('/', StringComparison.Ordinal) && name[0] != '/'),
        path => Assert.True(File.Exists(Path.Combine(RepositoryPaths.Root, path)), path));

    [Fact]
    public void Each_command_option_and_key_that_it_names_is_understood()
    {
        RootCommand root = Daemon.Commands.CommandLine.Root(new Daemon.Commands.CommandIo(TextWriter.Null, TextWriter.Null, false));
        string[] options = [.. root.Subcommands.SelectMany(command => command.Options).Select(option => option.Name)];
        string configuration = File.ReadAllText(Path.Combine(RepositoryPaths.Root, "docs", "configuration.md"));
        string[] words = [.. _named.Where(name => !name.Contains('/', StringComparison.Ordinal))];

        Assert.True(words.Length > 6, string.Join(", ", words));
        Assert.All(words, word => Assert.True(
            options.Contains(word) || Exists(root, word.Split(' ')) || configuration.Contains($"`{word}`", StringComparison.Ordinal), word));
    }

    private static bool Exists(Command command, string[] path) => path.Length == 0
        || (command.Subcommands.FirstOrDefault(one => one.Name == path[0]) is { } next && Exists(next, path[1..]));

    [GeneratedRegex("`([^`]+)`")]
    private static partial Regex CodeWords();

    [GeneratedRegex(@"^\| (\d+) \|", RegexOptions.Multiline)]
    private static partial Regex Rows();
}
