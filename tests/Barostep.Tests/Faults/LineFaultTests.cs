using Barostep.Safety;

namespace Barostep.Tests.Faults;

[Collection(FaultedPrograms.Name)]
public sealed class LineFaultTests(FaultRuns runs)
{
    [Fact]
    public Task Garbage_without_end_from_the_reference_trips() =>
        runs.TripsAsync(FaultCases.ReferenceGarbage, Cause.ReferenceStale);

    [Fact]
    public Task Garbage_without_end_from_the_controller_opens_the_dump_valve() =>
        OpensAsync(FaultCases.ControllerGarbage, Cause.SourceStale, Cause.SourceLineLost, Cause.VentNotAcknowledged, Cause.SensorsDisagree);

    [Fact]
    public Task A_reference_that_goes_silent_trips() => runs.TripsAsync(FaultCases.ReferenceSilent, Cause.ReferenceStale);

    [Fact]
    public Task A_controller_that_goes_silent_opens_the_dump_valve() =>
        OpensAsync(FaultCases.ControllerSilent, Cause.SourceStale, Cause.VentNotAcknowledged);

    [Fact]
    public Task Half_answers_are_none() => runs.TripsAsync(FaultCases.ReferenceTruncated, Cause.ReferenceStale);

    [Fact]
    public Task Answers_that_come_after_their_time_are_not_taken_as_current() =>
        runs.TripsAsync(FaultCases.ReferenceSlow, Cause.ReferenceStale);

    [Fact]
    public async Task Answers_to_the_question_before_never_let_the_gas_pass_its_worst_case() =>
        Assert.NotEmpty((await runs.OfAsync(FaultCases.ReferenceOneBehind)).Journal);

    [Fact]
    public Task A_reference_that_restarts_under_pressure_trips() =>
        runs.TripsAsync(FaultCases.ReferenceRestarted, Cause.ReferenceStale, Cause.InstrumentRestarted);

    [Fact]
    public Task A_controller_that_restarts_under_pressure_trips() =>
        runs.TripsAsync(FaultCases.ControllerRestarted, Cause.InstrumentRestarted, Cause.SourceStale, Cause.SourceLeftControl, Cause.WrongWay);

    [Fact]
    public Task Two_instruments_swapped_under_pressure_trip() =>
        runs.TripsAsync(FaultCases.Swapped, Cause.ReferenceStale, Cause.SourceStale);

    [Fact]
    public Task Another_instrument_of_the_same_language_on_the_controller_s_line_opens_the_dump_valve() =>
        OpensAsync(FaultCases.SwappedAtOneSpeed, Cause.SourceStale, Cause.VentNotAcknowledged);

    [Fact]
    public Task An_unplugged_reference_trips_and_plugging_it_in_again_brings_no_pressure_back() =>
        runs.TripsAsync(FaultCases.ReferenceReplugged, Cause.ReferenceLineLost);

    [Fact]
    public Task An_unplugged_controller_opens_the_dump_valve_and_is_told_to_vent_when_it_is_back() =>
        OpensAsync(FaultCases.ControllerReplugged, Cause.SourceLineLost);

    [Fact]
    public async Task Another_reference_in_its_place_is_refused_by_its_serial_number()
    {
        FaultRun run = await runs.OfAsync(FaultCases.ReferenceReplaced);
        Assert.Contains("SI-09999", run.Telling, StringComparison.Ordinal);
        Assert.NotEmpty(run.Payloads(JournalKind.Trip));
        Assert.Equal(0, run.Guard!.ExitCode);
    }

    [Fact]
    public async Task An_unplugged_relay_opens_its_valve_and_ends_the_run()
    {
        FaultRun run = await runs.OfAsync(FaultCases.RelayUnplugged);
        Assert.Contains(run.AfterFault, moment => moment.DumpOpening >= 1);
        Assert.NotEqual(0, run.Sweep!.ExitCode);
    }

    [Fact]
    public async Task Without_its_relay_a_bench_gets_no_pressure()
    {
        FaultRun run = await runs.OfAsync(FaultCases.RelayMissing);
        Assert.NotEqual(0, run.Sweep!.ExitCode);
        Assert.All(run.Truth, moment => Assert.InRange(moment.BarGauge, -0.05, 0.05));
    }

    private async Task OpensAsync(FaultCase one, params Cause[] anyOf) =>
        Assert.Contains((await runs.TripsAsync(one, anyOf)).AfterFault, moment => moment.DumpOpening >= 1);
}
