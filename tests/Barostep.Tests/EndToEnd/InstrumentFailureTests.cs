using Barostep.Records;

namespace Barostep.Tests.EndToEnd;

[Collection(RealPrograms.Name)]
public sealed class InstrumentFailureTests(RealTimeRuns runs)
{
    /// <summary>More than noise and the weather between two rows, far less than the lowest point. Pa.</summary>
    private const double Vented = 500;

    [Fact]
    public async Task A_missing_port_is_named_with_its_reason()
    {
        EndedRun run = await runs.MissingPortsAsync();
        Failed(run);
        Assert.Contains("port reference", run.Program.Error, StringComparison.Ordinal);
        Assert.Contains("there is no such port", run.Program.Error, StringComparison.Ordinal);
        NeverPressurised(run);
    }

    [Fact]
    public async Task Answers_that_are_garbage_end_the_run_before_any_pressure()
    {
        EndedRun run = await runs.GarbledReferenceAsync();
        Failed(run);
        Assert.Contains("reference", run.Record.OutcomeReason, StringComparison.Ordinal);
        NeverPressurised(run);
    }

    [Fact]
    public async Task A_wrong_instrument_on_a_port_is_refused_before_any_pressure()
    {
        EndedRun run = await runs.SwappedPortsAsync();
        Failed(run);
        Assert.Contains("MULTIMETER", run.Program.Error, StringComparison.Ordinal);
        NeverPressurised(run);
    }

    [Fact]
    public async Task A_bench_that_another_program_watches_is_left_to_it_and_the_holder_is_named()
    {
        EndedRun run = await runs.HeldPortsAsync();
        Failed(run);
        Assert.Contains("is held by process", run.Program.Error, StringComparison.Ordinal);
        NeverPressurised(run);
    }

    [Fact]
    public async Task Whatever_ended_a_run_its_journal_is_intact_and_replays_to_the_same_decisions()
    {
        Assert.All(await runs.AllAsync(), run =>
        {
            Assert.Null(run.JournalFault);
            Assert.True(run.Replay.IsComplete && run.Replay.Replayed > 0, $"{run.Replay}");
        });
    }

    [Fact]
    public async Task A_multimeter_that_goes_silent_ends_the_run_with_the_bench_vented_and_the_points_kept()
    {
        EndedRun run = await runs.SilentMultimeterAsync();
        FailedUnderPressure(run);
        Assert.Contains("port multimeter: no understandable answer", run.Record.OutcomeReason, StringComparison.Ordinal);
        Assert.True(run.Record.VentConfirmed);
        Assert.Contains("bench vented, as its sensors tell", run.Program.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_reference_that_goes_silent_vents_the_bench_and_the_vent_is_told_as_unconfirmed()
    {
        EndedRun run = await runs.SilentReferenceAsync();
        FailedUnderPressure(run);
        Assert.Contains("The reference has not given a good reading", run.Record.OutcomeReason, StringComparison.Ordinal);
        VentNotConfirmed(run);
    }

    [Fact]
    public async Task A_controller_that_goes_silent_is_still_told_to_vent_and_the_vent_is_told_as_unconfirmed()
    {
        EndedRun run = await runs.SilentControllerAsync();
        FailedUnderPressure(run);
        Assert.Contains("source", run.Record.OutcomeReason, StringComparison.Ordinal);
        VentNotConfirmed(run);
    }

    private static void Failed(EndedRun run)
    {
        Assert.Equal((4, RunOutcome.InstrumentFailure), (run.Program.ExitCode, run.Record.Outcome));
        Assert.DoesNotContain("   at ", run.Program.Error, StringComparison.Ordinal);
        // Whichever it was, people are told.
        Assert.Contains(run.Record.VentConfirmed ? "bench vented" : "could NOT be confirmed", run.Program.Error, StringComparison.Ordinal);
    }

    private static void FailedUnderPressure(EndedRun run)
    {
        Failed(run);
        Assert.NotEmpty(run.Record.Points);
        Assert.True(run.Record.Points.Count < run.Record.Procedure.PointsOfSpan.Count * 2);
        TrueMoment last = run.Truth[^1];
        Assert.InRange(last.PressurePascals - last.AtmospherePascals, -Vented, Vented);
        Assert.True(run.Truth.Max(moment => moment.PressurePascals) < run.Record.CeilingPascals);
    }

    private static void VentNotConfirmed(EndedRun run)
    {
        Assert.False(run.Record.VentConfirmed);
        Assert.Contains("could NOT be confirmed that the bench is vented", run.Program.Error, StringComparison.Ordinal);
    }

    private static void NeverPressurised(EndedRun run)
    {
        Assert.Empty(run.Record.Points);
        Assert.True(run.Truth.Count > 0);
        Assert.All(run.Truth, moment => Assert.InRange(moment.PressurePascals - moment.AtmospherePascals, -Vented, Vented));
    }
}
