using Barostep.Safety;

namespace Barostep.Tests.Faults;

[Collection(FaultedPrograms.Name)]
public sealed class ProcessFaultTests(FaultRuns runs)
{
    [Fact]
    public async Task A_killed_guard_leaves_a_bench_that_vents_by_itself_and_the_next_one_is_latched()
    {
        FaultRun run = await runs.OfAsync(FaultCases.GuardKilled);
        Assert.Equal(4, run.Sweep!.ExitCode);
        IsLatchedAtTheSecondStart(run);
    }

    [Fact]
    public async Task A_guard_killed_close_below_the_ceiling_leaves_a_bench_that_vents_by_itself()
    {
        FaultRun run = await runs.OfAsync(FaultCases.GuardKilledHigh);
        Assert.Contains(run.AfterFault, moment => moment.DumpOpening >= 1);
        IsLatchedAtTheSecondStart(run);
    }

    [Fact]
    public async Task A_killed_sweep_has_its_bench_vented_by_the_guard()
    {
        FaultRun run = await runs.OfAsync(FaultCases.SweepKilled, Cause.IntentLapsed);
        Assert.Equal(0, run.Guard!.ExitCode);
    }

    [Fact]
    public async Task With_both_killed_and_the_journal_torn_the_next_guard_tells_of_the_torn_tail_and_is_latched()
    {
        FaultRun run = await runs.OfAsync(FaultCases.BothKilled);
        Assert.Contains("torn", run.Telling, StringComparison.Ordinal);
        IsLatchedAtTheSecondStart(run);
    }

    [Fact]
    public async Task A_guard_that_starts_under_pressure_dumps_before_anything_else()
    {
        FaultRun run = await runs.OfAsync(FaultCases.StartUnderPressure);
        IsLatchedAtTheSecondStart(run);
        List<RecordedDecision> second = [.. SecondStart(run).Where(entry => entry.Kind == JournalKind.Tick).Select(tick => tick.ReadDecision())];
        Assert.All(second, decision => Assert.Equal((SafetyAction.Dump, false), (decision.Action, decision.KeepAlive)));
    }

    [Fact]
    public async Task A_guard_that_was_paused_finds_its_relay_open_and_no_command_from_before_takes_effect()
    {
        FaultRun run = await runs.OfAsync(FaultCases.GuardPaused, Cause.TimeFault);
        List<TrueMoment> after = run.AfterFault;
        int open = after.FindIndex(moment => moment.DumpOpening >= 1);
        Assert.All(after[open..], moment => Assert.Equal(1, moment.DumpOpening));
        double highestBefore = after[..open].Max(moment => moment.PressurePascals);
        Assert.All(after[open..], moment => Assert.True(moment.PressurePascals <= highestBefore));
    }

    [Fact]
    public async Task A_sweep_that_was_paused_finds_its_bench_vented_and_its_old_wishes_void()
    {
        FaultRun run = await runs.OfAsync(FaultCases.SweepPaused, Cause.IntentLapsed);
        Assert.NotEqual(0, run.Sweep!.ExitCode);
        JournalEntry lapsed = run.Journal.First(entry => RecordedDecision.TryRead(entry, out RecordedDecision decision) && decision.Causes.Contains(Cause.IntentLapsed));
        Assert.DoesNotContain(run.Journal.Where(entry => entry.Sequence > lapsed.Sequence), entry => entry.Kind == JournalKind.Raise);
    }

    [Fact]
    public async Task A_sweep_told_to_stop_before_any_pressure_makes_none()
    {
        FaultRun run = await runs.OfAsync(FaultCases.SweepStoppedAtZero);
        Assert.Equal(130, run.Sweep!.ExitCode);
        // Before that the dump valve was tested, with a little pressure.
        Assert.All(run.AfterFault, moment => Assert.InRange(moment.BarGauge, -0.05, 0.05));
    }

    [Fact]
    public async Task A_sweep_told_to_stop_at_a_point_vents_at_the_allowed_rate()
    {
        FaultRun run = await runs.OfAsync(FaultCases.SweepStoppedHolding);
        Assert.Equal(130, run.Sweep!.ExitCode);
        Assert.Empty(run.Payloads(JournalKind.Trip));
    }

    [Fact]
    public async Task A_sweep_told_to_stop_twice_dumps_at_once()
    {
        FaultRun run = await runs.OfAsync(FaultCases.SweepStoppedTwice);
        Assert.Equal(130, run.Sweep!.ExitCode);
        Assert.Contains(run.Payloads(JournalKind.Trip), payload => payload is TripPayload { FirstCause: Cause.OperatorDump });
        Assert.Contains(run.AfterFault, moment => moment.DumpOpening >= 1);
    }

    [Fact]
    public async Task A_guard_told_to_stop_under_pressure_vents_and_tells_that_it_saw_it()
    {
        FaultRun run = await runs.OfAsync(FaultCases.GuardStopped);
        Assert.Equal(0, run.Guard!.ExitCode);
        Assert.Equal(new StopPayload("the guard was stopped", VentConfirmed: true), run.Journal[^1].ReadPayload());
        // It may still see the stop as a person's, or only that the guard has gone.
        Assert.NotEqual(0, run.Sweep!.ExitCode);
    }

    [Fact]
    public async Task A_guard_told_to_stop_twice_dumps_at_once()
    {
        FaultRun run = await runs.OfAsync(FaultCases.GuardStoppedTwice);
        Assert.Equal(0, run.Guard!.ExitCode);
        Assert.Contains(run.Payloads(JournalKind.Trip), payload => payload is TripPayload { FirstCause: Cause.OperatorDump });
    }

    [Fact]
    public async Task A_guard_killed_while_it_stops_leaves_a_bench_that_vents_by_itself()
    {
        FaultRun run = await runs.OfAsync(FaultCases.GuardStoppedThenKilled);
        Assert.Contains(run.AfterFault, moment => moment.DumpOpening >= 1);
    }

    [Fact]
    public async Task On_a_machine_that_is_too_busy_the_gas_stays_within_its_worst_case() =>
        Assert.NotNull((await runs.OfAsync(FaultCases.Starved)).Sweep);

    private static List<JournalEntry> SecondStart(FaultRun run) =>
        run.Journal[run.Journal.FindLastIndex(entry => entry.Kind == JournalKind.Open)..];

    private static void IsLatchedAtTheSecondStart(FaultRun run)
    {
        Assert.Equal(2, run.Journal.Count(entry => entry.Kind == JournalKind.Open));
        List<JournalEntry> second = SecondStart(run);
        TripPayload trip = Assert.IsType<TripPayload>(second.First(entry => entry.Kind == JournalKind.Trip).ReadPayload());
        Assert.Equal(Cause.UncleanStart, trip.FirstCause);
        Assert.DoesNotContain(second, entry => entry.Kind == JournalKind.Raise);
        Assert.Equal(0, run.Guard!.ExitCode);
    }
}
