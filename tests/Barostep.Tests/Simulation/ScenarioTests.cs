using Barostep.Daemon.Simulation;

namespace Barostep.Tests.Simulation;

/// <summary>Schedules that once violated an invariant, kept as they were.</summary>
public class ScenarioTests
{
    [Theory]
    // Both sensors lag behind a fast vent, each by its own time: a healthy bench tripped as if they disagreed.
    [InlineData(82, "guard-killed@settle.acknowledged+10")]
    // The reference's answer is 40 ms older than the source's at the beginning of a ramp, whose rate is not known yet.
    [InlineData(176, "reference-garbage:0@tripped.crossing+10")]
    [InlineData(120, "reference-garbage:0@boot.entry+0.27,controller-truncated:1@31.641723+forever")]
    // A journal that failed is latched without a trip: who looks for a trip to acknowledge waits for ever.
    [InlineData(1074, "disk-slow:2@step.sent+10")]
    // A keep-alive that waited while the guard stood still left 270 ms later.
    [InlineData(1121, "guard-paused@pressurise.entry+0.27")]
    [InlineData(1121, "suspended@pressurise.entry+0.27")]
    // A leak that opens while a settled point is being read moves the gas: the point is not settled any more.
    [InlineData(20390, "leak:2@read.crossing+0.05")]
    // A sensor frozen near the end of a run keeps its vent from being confirmed, and the run says so.
    [InlineData(30449, "controller-frozen@38.911183+forever")]
    // A set point that waited on a blocked line leaves just before the one that holds.
    [InlineData(1612, "controller-wrong-speed@settle.middle+1.08")]
    // The fill valve opens as a run ends: what was confirmed a moment before was true.
    [InlineData(212, "fill-stuck-open:0@read.tripping+10,controller-frozen@armed.sent+1.375")]
    // A source that was exchanged is told nothing more and goes on against the open dump: a little comes back.
    [InlineData(1017717, "controller-garbage:1@vent.middle+0.05,controller-exchanged@safe.acknowledged+3,controller-lag:1@boot.sent+10")]
    // A guard started on a full disk has no journal, and never gets one: it has to be started anew when there is room.
    [InlineData(1004244, "guard-killed@safe.acknowledged+forever,disk-full@27+forever")]
    public void A_schedule_that_once_violated_an_invariant_does_so_no_more(ulong seed, string faults)
    {
        SeedResult result = Worlds.Run(seed, faults);

        Assert.True(result.Violations.Count == 0, Worlds.Told(result));
    }

    [Theory]
    [InlineData("fill-stuck-open:0@pressurise.middle+forever", "Tripped, Completed")]
    [InlineData("controller-gain:1@pressurise.middle+forever", "Tripped, Completed")]
    [InlineData("guard-killed@pressurise.middle+10", "InstrumentFailure, Completed")]
    [InlineData("power-lost:1@read.entry+10", "Completed")]
    [InlineData("reference-silence:0@read.entry+forever", "InstrumentFailure, Completed")]
    [InlineData("stop-pressed:1@settle.entry+1", "Stopped, Completed")]
    [InlineData("disk-full@settle.entry+forever", "Aborted, Completed")]
    [InlineData("wall-clock-stepped:3@read.entry+1", "Completed, Completed")]
    public void A_fault_ends_a_run_as_it_should_and_the_next_completes(string fault, string outcomes)
    {
        SeedResult result = Worlds.Run(7, fault);

        Assert.True(result.Violations.Count == 0, Worlds.Told(result));
        Assert.Equal(outcomes, result.Outcomes);
    }

    [Fact]
    public void When_nothing_else_is_left_the_relief_valve_holds_the_pressure()
    {
        double highest = 0;
        SeedResult result = Worlds.Run(
            7,
            "fill-stuck-open:0@pressurise.entry+30,vent-stuck:0@1+forever,dump-stuck:0@pressurise.entry+30",
            watch: world => highest = world.HighestTruePascals);

        Assert.True(result.Violations.Count == 0, Worlds.Told(result));
        Assert.True(highest > 7e5, $"the gas came to {highest:0} Pa: the schedule does not reach the relief valve");
    }
}
