using Barostep.Configuration;
using Barostep.Control;
using Barostep.Procedures;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Tests.Procedures;

[Trait("SR", "10")]
public class ProbeTests
{
    [Fact]
    public void The_first_pressure_is_below_a_tenth_of_the_range()
    {
        Rehearsal run = new Rehearsal(Exercises.UpAndDown).Until(r => r.State.StepIndex == 1, 60);
        Assert.All(run.Steps.Where(s => s.Intent.Kind == IntentKind.Pressurise), s =>
            Assert.InRange(run.Plan.Share(s.Intent.Target), 0, 0.1));
        Assert.Contains(run.Steps, s => run.Plan.Share(s.Seen.Bench.Reference.Value) > 0.07);
    }

    [Fact]
    public void A_one_bar_device_declared_as_sixteen_is_found_out_before_its_top()
    {
        // A device of 1 bar is beyond its end at the probe of the declared range, and its output as high as it goes.
        Rehearsal run = Declared(s => s with { Indication = s.Indication with { Value = Math.Min(0.0205, 0.004 + (0.016 * Gauge(s) / 1e5)) } });
        Refused(run);
        // 8 % of 16 bar is 1.28 bar, and 20.5 mA of 4 to 20 mA are 103.125 % of 16 bar.
        Assert.Contains("it tells 16.5 bar where the reference tells 1.28 bar", run.Ending.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void A_one_bar_device_declared_as_ten_is_found_out_below_one_bar()
    {
        DeviceDefinition device = Exercises.Transmitter with { RangeTo = Exercises.Gauge(10m) };
        var run = new Rehearsal(Exercises.UpAndDown, device: device)
        {
            Change = s => s with { Indication = s.Indication with { Value = 0.004 + (0.016 * Gauge(s) / 1e5) } },
        };
        run.ToTheEnd();
        Refused(run);
        Assert.Contains("it tells 8 bar where the reference tells 0.8 bar", run.Ending.Reason, StringComparison.Ordinal);
        Assert.All(run.Steps, s => Assert.True(Gauge(s.Seen) <= 80_100));
    }

    [Fact]
    public void A_device_that_falls_as_the_pressure_rises_is_found_out()
    {
        Rehearsal run = Declared(s => s with { Indication = s.Indication with { Value = 0.024 - s.Indication.Value } });
        Refused(run);
        Assert.Contains("it tells 14.72 bar where the reference tells 1.28 bar", run.Ending.Reason, StringComparison.Ordinal);
        Assert.Contains("wiring", run.Ending.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void An_open_loop_is_found_out()
    {
        Rehearsal run = Declared(s => s with { Indication = s.Indication with { Value = 0 } });
        Refused(run);
        Assert.Contains("it tells -4 bar", run.Ending.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void A_device_that_goes_silent_at_the_probe_is_an_instrument_failure()
    {
        Rehearsal run = new Rehearsal(Exercises.UpAndDown).Until(r => r.Doing(StepKind.Probe) && r.State.ReachedMicros > 0, 60);
        IndicationReading last = run.Seen.Indication;
        run.Change = s => s with { Indication = last };
        run.ToTheEnd();
        Assert.Equal(RunOutcome.InstrumentFailure, run.Ending.Outcome);
        Assert.Contains("device under test stopped giving readings", run.Ending.Reason, StringComparison.Ordinal);
        AssertLow(run);
    }

    [Theory]
    [InlineData(0.09, RunOutcome.Completed)]
    [InlineData(-0.09, RunOutcome.Completed)]
    [InlineData(0.11, RunOutcome.Aborted)]
    [InlineData(-0.11, RunOutcome.Aborted)]
    public void A_device_may_be_off_by_a_tenth_of_its_span_and_no_more(double share, RunOutcome outcome)
    {
        Rehearsal run = Declared(s => s with { Indication = s.Indication with { Value = s.Indication.Value + (0.016 * share) } });
        Assert.Equal(outcome, run.Ending.Outcome);
    }

    [Fact]
    public void A_compound_range_is_probed_on_the_side_that_can_burst()
    {
        DeviceDefinition compound = Exercises.Transmitter with { RangeFrom = Exercises.Gauge(-1m), RangeTo = Exercises.Gauge(9m) };
        PlannedStep probe = Exercises.Plan(Exercises.UpAndDown, compound).Steps[0];
        Assert.Equal((StepKind.Probe, false), (probe.Kind, probe.ByVent));
        // 8 % of the nine bar above the atmosphere.
        Assert.Equal(172_000, probe.Target.Pascals);
    }

    [Fact]
    public void A_range_below_the_atmosphere_has_no_side_that_can_burst()
    {
        DeviceDefinition vacuum = Exercises.Transmitter with { RangeFrom = Exercises.Gauge(-1m), RangeTo = Exercises.Gauge(0m) };
        Assert.DoesNotContain(Exercises.Plan(Exercises.UpAndDown, vacuum).Steps, s => s.Kind == StepKind.Probe);
    }

    private static Rehearsal Declared(Func<SequencerInput, SequencerInput> device) =>
        new Rehearsal(Exercises.UpAndDown) { Change = device }.ToTheEnd();

    private static double Gauge(SequencerInput seen) => (seen.Bench.Reference.Value - Exercises.Atmosphere).Pascals;

    private static void Refused(Rehearsal run)
    {
        Assert.Equal(RunOutcome.Aborted, run.Ending.Outcome);
        Assert.Contains("the device does not follow", run.Ending.Reason, StringComparison.Ordinal);
        Assert.True(run.Ending.VentConfirmed);
        Assert.Empty(run.Points);
        AssertLow(run);
    }

    private static void AssertLow(Rehearsal run) =>
        Assert.All(run.Steps, s => Assert.InRange(run.Plan.Share(s.Intent.Target), 0, 0.1));
}
