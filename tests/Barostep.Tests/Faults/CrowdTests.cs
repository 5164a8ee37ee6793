namespace Barostep.Tests.Faults;

/// <summary>What other programs can do to a guard through its socket, and what they cannot.</summary>
[Collection(FaultedPrograms.Name)]
public sealed class CrowdTests(FaultRuns runs)
{
    [Fact]
    public Task A_vent_is_honoured_in_the_middle_of_garbage_floods_and_idle_crowds() =>
        runs.OfAsync(CrowdScripts.A_vent_is_honoured_in_the_middle_of_garbage_floods_and_idle_crowds);

    [Fact]
    public Task Who_connects_and_says_nothing_keeps_no_place_from_others() =>
        runs.OfAsync(CrowdScripts.Who_connects_and_says_nothing_keeps_no_place_from_others);

    [Fact]
    public Task A_guard_that_ran_out_of_descriptors_goes_on_guarding_and_hears_a_vent_when_it_has_some_again() =>
        runs.OfAsync(CrowdScripts.A_guard_that_ran_out_of_descriptors_goes_on_guarding_and_hears_a_vent_when_it_has_some_again);

    [Fact]
    public Task Of_two_clients_only_one_gets_pressure_and_both_can_vent_and_lower_the_ceiling() =>
        runs.OfAsync(CrowdScripts.Of_two_clients_only_one_gets_pressure_and_both_can_vent_and_lower_the_ceiling);

    [Fact]
    public Task Random_interleavings_of_two_clients_wishes_leave_one_writer_and_every_vent_honoured() =>
        runs.OfAsync(CrowdScripts.Random_interleavings_of_two_clients_wishes_leave_one_writer_and_every_vent_honoured);
}
