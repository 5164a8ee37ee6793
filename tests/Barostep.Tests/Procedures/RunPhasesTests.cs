using Barostep.Procedures;
using Barostep.Tests.Configuration;

namespace Barostep.Tests.Procedures;

public class RunPhasesTests
{
    private const string Begin = "<!-- diagram: begin -->";
    private const string End = "<!-- diagram: end -->";

    private static readonly string PagePath = Path.Combine(ShippedConfiguration.Repository, "docs", "run-phases.md");

    private static readonly RunPhase[] Ends = [RunPhase.Completed, RunPhase.Aborted, RunPhase.Tripped];

    [Fact]
    public void The_page_shows_the_diagram_of_the_table()
    {
        string expected = $"{Begin}\n```mermaid\n{Diagram()}\n```\n{End}";
        Assert.True(
            File.ReadAllText(PagePath).Contains(expected, StringComparison.Ordinal),
            $"docs/run-phases.md shows another diagram than RunPhases has: replace what lies between its two markers, markers included, by\n{expected}");
    }

    [Fact]
    public void The_page_explains_every_phase()
    {
        string page = File.ReadAllText(PagePath);
        Assert.All(Enum.GetNames<RunPhase>(), phase => Assert.Contains($"\n### {phase}\n", page, StringComparison.Ordinal));
    }

    [Fact]
    public void Every_phase_but_the_ends_can_be_stopped_aborted_and_tripped()
    {
        var phases = new RunPhases();
        foreach (RunPhase phase in Enum.GetValues<RunPhase>().Except(Ends))
        {
            Assert.Equal(RunPhase.Venting, phases.Next(phase, RunTrigger.Stop));
            Assert.Equal(RunPhase.Venting, phases.Next(phase, RunTrigger.Abort));
            Assert.Equal(RunPhase.Tripped, phases.Next(phase, RunTrigger.Trip));
        }
    }

    [Fact]
    public void Nothing_leads_out_of_an_end()
    {
        var phases = new RunPhases();
        foreach (RunPhase end in Ends)
            Assert.All(Enum.GetValues<RunTrigger>(), t => Assert.Throws<InvalidOperationException>(() => phases.Next(end, t)));
    }

    [Fact]
    public void Only_a_completed_vent_leads_to_completed()
    {
        var phases = new RunPhases();
        foreach (RunPhase from in Enum.GetValues<RunPhase>())
        {
            foreach (RunTrigger trigger in Enum.GetValues<RunTrigger>())
            {
                if (TryNext(phases, from, trigger) == RunPhase.Completed)
                    Assert.Equal((RunPhase.Venting, RunTrigger.RunCompleted), (from, trigger));
            }
        }
    }

    private static RunPhase? TryNext(RunPhases phases, RunPhase from, RunTrigger trigger)
    {
        try
        {
            return phases.Next(from, trigger);
        }
        catch (InvalidOperationException)
        {
            return null;
        }
    }

    private static string Diagram() => new RunPhases().ToMermaid().ReplaceLineEndings("\n").Trim();
}
