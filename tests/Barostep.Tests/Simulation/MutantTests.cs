using System.Text.RegularExpressions;
using Barostep.Daemon.Simulation;
using Barostep.Tests.Configuration;

namespace Barostep.Tests.Simulation;

/// <summary>What is wrong on purpose is found, within as many seeds of the swarm as docs/simulation.md says.</summary>
public partial class MutantTests
{
    private static readonly IReadOnlyDictionary<string, (string Checker, int Seeds)> Table = ReadTable();

    public static TheoryData<string> Names => [.. Mutant.All.Select(mutant => mutant.Name)];

    [Theory]
    [MemberData(nameof(Names))]
    public void A_mutant_is_caught_by_the_checker_and_within_the_seeds_that_the_page_says(string name)
    {
        Mutant mutant = Mutant.All.Single(one => one.Name == name);
        (string checker, int seeds) = Table[name];

        for (ulong seed = 1; seed <= (ulong)seeds; seed++)
        {
            SeedResult result = mutant.Run(Worlds.Source, seed);
            if (result.Violations.Any(violation => violation.Invariant == checker))
                return;
        }

        Assert.Fail($"'{name}' was not caught by {checker} within {seeds} seeds");
    }

    [Fact]
    public void The_page_lists_every_mutant_and_no_other() =>
        Assert.Equal(Mutant.All.Select(mutant => mutant.Name).Order(), Table.Keys.Order());

    private static Dictionary<string, (string Checker, int Seeds)> ReadTable()
    {
        string page = File.ReadAllText(Path.Combine(ShippedConfiguration.Repository, "docs", "simulation.md"));
        return MutantRow().Matches(page).ToDictionary(
            row => row.Groups[1].Value, row => (row.Groups[2].Value, int.Parse(row.Groups[3].Value, System.Globalization.CultureInfo.InvariantCulture)));
    }

    [GeneratedRegex(@"^\| mutant: (.+?) \| (.+?) \| .+? \| (\d+) \|$", RegexOptions.Multiline)]
    private static partial Regex MutantRow();
}
