namespace Barostep.Tests.Faults;

/// <summary>More than one program for one bench, and simulated benches beside real ones.</summary>
[Collection(FaultedPrograms.Name)]
public sealed class SecondProgramTests(FaultRuns runs)
{
    [Fact]
    public Task A_second_guard_of_a_bench_is_refused_and_the_first_guards_on() =>
        runs.OfAsync(SecondProgramScripts.A_second_guard_of_a_bench_is_refused_and_the_first_guards_on);

    [Fact]
    public Task A_guard_with_another_state_folder_cannot_have_the_ports_and_names_who_holds_them() =>
        runs.OfAsync(SecondProgramScripts.A_guard_with_another_state_folder_cannot_have_the_ports_and_names_who_holds_them);

    [Fact]
    public Task A_sweep_that_had_started_its_guard_itself_is_killed_and_the_guard_vents_and_ends() =>
        runs.OfAsync(SecondProgramScripts.A_sweep_that_had_started_its_guard_itself_is_killed_and_the_guard_vents_and_ends);

    [Fact]
    public Task What_was_done_on_a_simulated_bench_is_marked_in_the_journal_and_in_the_record() =>
        runs.OfAsync(SecondProgramScripts.What_was_done_on_a_simulated_bench_is_marked_in_the_journal_and_in_the_record);

    [Fact]
    public Task A_run_that_takes_its_instruments_for_real_gets_no_pressure_from_a_simulated_bench() =>
        runs.OfAsync(SecondProgramScripts.A_run_that_takes_its_instruments_for_real_gets_no_pressure_from_a_simulated_bench);
}
