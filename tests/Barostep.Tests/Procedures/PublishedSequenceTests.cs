using Barostep.Configuration;
using Barostep.Procedures;
using Barostep.Records;
using Barostep.Safety;
using Barostep.Tests.Configuration;

namespace Barostep.Tests.Procedures;

public sealed class PublishedSequenceTests
{
    private static readonly WorkshopConfiguration Shipped = ShippedConfiguration.Load().Configuration;

    [Theory]
    [InlineData("cg-17-basic", "EURAMET cg-17, basic")]
    [InlineData("cg-17-standard", "EURAMET cg-17, standard")]
    [InlineData("cg-17-comprehensive", "EURAMET cg-17, comprehensive")]
    [InlineData("dkd-r-6-1-a", "DKD-R 6-1, sequence A")]
    [InlineData("dkd-r-6-1-b", "DKD-R 6-1, sequence B")]
    [InlineData("dkd-r-6-1-c", "DKD-R 6-1, sequence C")]
    [InlineData("en-837-1", "EN 837-1, classes 0.1 to 0.6")]
    [InlineData("iec-61298-2", "IEC 61298-2, measured error over three cycles")]
    public void A_shipped_procedure_satisfies_the_sequence_that_it_is_named_after(string procedure, string sequence) =>
        Assert.Contains(sequence, PublishedSequence.SatisfiedBy(Shipped.Procedures[procedure]).Select(one => one.Name));

    [Fact]
    public void Every_sequence_but_the_shortest_of_a_class_has_a_shipped_procedure() =>
        Assert.Empty(PublishedSequence.All.Where(sequence => !Shipped.Procedures.Values.Any(procedure => sequence.Lacks(procedure).Count == 0)).Select(sequence => sequence.Name));

    [Fact]
    public void Only_what_was_read_in_its_text_does_not_say_that_it_is_from_memory() =>
        Assert.Equal(["EURAMET cg-17, basic"], PublishedSequence.All.Where(one => !one.Source.Contains("from memory", StringComparison.Ordinal)).Select(one => one.Name));

    [Fact]
    public void Less_than_a_sequence_asks_for_is_not_it_and_what_is_missing_is_named()
    {
        Procedure a = Shipped.Procedures["dkd-r-6-1-a"];

        Assert.Equal(["the device mounted again before cycle 3"], Lacks(a with { RemountBeforeCycle = 0 }));
        Assert.Equal(["2 min at the upper end"], Lacks(a with { TopHoldMicros = 119_000_000 }));
        Assert.Equal(["3 preloads, held for 30 s"], Lacks(a with { Preloads = 2 }));
        Assert.Equal(["3 series up and down"], Lacks(a with { LastCycleRisesOnly = true }));
        Assert.Equal(["30 s from one point to the next"], Lacks(a with { Settle = a.Settle with { MinimumDwellMicros = 20_000_000 } }));
        Assert.Equal(["points uniformly over the whole range, its ends included"], Lacks(a with { PointsOfSpan = [0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 1] }));
        Assert.Equal(["9 points"], Lacks(a with { PointsOfSpan = [0, 0.5, 1] }));
        Procedure basic = Shipped.Procedures["cg-17-basic"];
        PublishedSequence cg = PublishedSequence.All[0];
        Assert.Single(cg.Lacks(basic with { RepeatPointsOfSpan = [0] }));
        Assert.Empty(cg.Lacks(basic with { Cycles = 3, Repeats = 0 }));

        static IReadOnlyList<string> Lacks(Procedure procedure) => PublishedSequence.All.Single(one => one.Name.EndsWith("sequence A", StringComparison.Ordinal)).Lacks(procedure);
    }

    [Fact]
    public void The_plan_has_the_series_the_mounting_and_the_hold_in_their_order()
    {
        RunPlan plan = RunPlan.For(Shipped.Procedures["dkd-r-6-1-a"], Shipped.Devices["transmitter-16bar"], Pressure.FromPascals(100_000));
        StepKind[] kinds = [.. plan.Steps.Select(step => step.Kind)];

        // Zero, probe, three preloads of two steps, two cycles of 18 points, mounting, one preload, one cycle, zero.
        Assert.Equal(
            [
                StepKind.Zero, StepKind.Probe, .. Enumerable.Repeat(StepKind.Preload, 6), .. Enumerable.Repeat(StepKind.Point, 36),
                StepKind.Confirm, .. Enumerable.Repeat(StepKind.Preload, 2), .. Enumerable.Repeat(StepKind.Point, 18), StepKind.Zero,
            ],
            kinds);
        Assert.Contains("mount it again", plan.Steps.Single(step => step.Kind == StepKind.Confirm).Request, StringComparison.Ordinal);
        PlannedStep[] top = [.. plan.Steps.Where(step => plan.DwellMicros(step) == 120_000_000)];
        Assert.Equal([1, 2, 3], top.Select(step => step.Cycle));
        Assert.All(top, step => Assert.Equal((plan.Highest, SeriesDirection.Descending), (step.Target, step.Direction)));
    }

    [Fact]
    public void Sequence_b_rises_twice_and_descends_once_and_a_repeat_only_rises()
    {
        Assert.Equal([true, false], Shipped.Procedures["dkd-r-6-1-b"].Series.Select(cycle => cycle.Descending));
        Assert.Equal([(1, 6, true), (2, 2, false), (3, 2, false)], Shipped.Procedures["cg-17-basic"].Series.Select(cycle => (cycle.Number, cycle.PointsOfSpan.Count, cycle.Descending)));
    }

    [Theory]
    [InlineData("before_cycle = 3", "before_cycle = 4", "remount.before_cycle = 4 of 3 cycles")]
    [InlineData("descending = true", "descending = false\nlast_cycle_rises_only = true", "last_cycle_rises_only beside descending = false")]
    [InlineData("[remount]", "[repeat]\npoints_of_span = [\"13 %\"]\ntimes = 1\n[remount]", "repeat.points_of_span.0 is no point of the series")]
    public void What_contradicts_itself_is_told(string from, string to, string found)
    {
        using ConfigurationFixture files = new ConfigurationFixture(ShippedConfiguration.Folder).Change("procedures/dkd-r-6-1-a.toml", from, to);

        Assert.Contains(found, files.OnlyError(), StringComparison.Ordinal);
    }
}
