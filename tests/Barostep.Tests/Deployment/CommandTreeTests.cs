using System.CommandLine;
using Barostep.Daemon.Commands;
using Barostep.Tests.Repository;

namespace Barostep.Tests.Deployment;

/// <summary>The commands as a shell, a manual page and a script meet them.</summary>
public sealed class CommandTreeTests
{
    /// <summary>What they print is a page, a file or figures for people, or they print nothing.</summary>
    private static readonly string[] WithoutJson = ["serve", "manual", "benchmark"];

    private static readonly RootCommand Root = CommandLine.Root(new CommandIo(TextWriter.Null, TextWriter.Null, IsInteractive: false));

    [Fact]
    public void The_manual_page_in_the_repository_is_that_of_the_commands()
    {
        string kept = File.ReadAllText(Path.Combine(RepositoryPaths.Root, "docs", "man", "barostep.1"));

        Assert.True(kept == ManualPage.Of(Root), "make it anew: dotnet run --project src/Barostep.Daemon -- manual > docs/man/barostep.1");
    }

    [Fact]
    public void The_manual_page_names_every_command_and_every_option()
    {
        string page = ManualPage.Of(Root).Replace("\\-", "-", StringComparison.Ordinal);

        Assert.All(Leaves(Root, "barostep"), leaf =>
        {
            string section = page[page.IndexOf($".SS {leaf.Path}", StringComparison.Ordinal)..];
            section = section[..section.IndexOf("\n.S", 4, StringComparison.Ordinal)];
            Assert.All(leaf.Command.Options.Where(option => !option.Hidden), option => Assert.Contains($".B {option.Name}", section, StringComparison.Ordinal));
        });
    }

    [Fact]
    public void Every_command_that_reports_has_json() => Assert.All(
        Leaves(Root, "barostep").Where(leaf => !WithoutJson.Contains(leaf.Path.Split(' ')[1])),
        leaf => Assert.True(leaf.Command.Options.Any(option => option.Name is "--json" or "--format"), leaf.Path));

    [Theory]
    [InlineData("jour", "journal")]
    [InlineData("journal ver", "verify")]
    [InlineData("demo --proc", "--procedure")]
    [InlineData("demo --procedure five", "five-point")]
    [InlineData("limits --bench ", "demo")]
    public void A_shell_is_offered_what_can_come_next(string typed, string offered)
    {
        RootCommand root = CommandLine.Root(new CommandIo(TextWriter.Null, TextWriter.Null, IsInteractive: false));
        NameCompletion.AddTo(root);

        Assert.Contains(offered, root.Parse(typed).GetCompletions(typed.Length).Select(item => item.Label));
    }

    private static IEnumerable<(string Path, Command Command)> Leaves(Command command, string path) => command.Subcommands.Count == 0
        ? [(path, command)]
        : command.Subcommands.Where(below => !below.Hidden).SelectMany(below => Leaves(below, $"{path} {below.Name}"));
}
