using Barostep.Configuration;
using Barostep.Procedures;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Tests.Procedures;

[Trait("SR", "09")]
public class ZeroCheckTests
{
    private const string Reason = "the reference does not read zero although the bench is vented";

    private static readonly Procedure WithZero = Exercises.UpAndDown with { ReadZero = true };

    [Theory]
    [InlineData(1)]
    [InlineData(-1)]
    public void A_reference_that_is_off_before_the_run_means_that_nothing_is_pressurised(int sign)
    {
        // More than 0.1 % of the 16 bar that the run goes to.
        var run = new Rehearsal(WithZero) { Disturbance = _ => sign * 1_700 };
        run.ToTheEnd();
        Assert.Equal((RunOutcome.Aborted, Reason), (run.Ending.Outcome, run.Ending.Reason));
        Assert.DoesNotContain(run.Steps, s => s.Intent.Kind == IntentKind.Pressurise);
        Assert.Single(run.Events.OfType<RunEvent.ZeroRead>());
        Assert.True(run.Ending.VentConfirmed);
    }

    [Fact]
    public void A_reference_that_is_off_after_the_series_voids_the_run_and_keeps_what_was_read()
    {
        var run = new Rehearsal(WithZero) { Disturbance = r => r.Points.Count == 6 ? 1_700 : 0 };
        run.ToTheEnd();
        Assert.Equal((RunOutcome.Aborted, Reason), (run.Ending.Outcome, run.Ending.Reason));
        Assert.Equal(6, run.Points.Count);
        Assert.Equal([true, false], run.Events.OfType<RunEvent.ZeroRead>().Select(e => e.Zero.BeforeSeries));
    }

    [Theory]
    [InlineData(1_500)]
    [InlineData(-1_500)]
    public void A_tenth_of_a_per_cent_of_the_highest_set_point_is_let_pass(double pascals)
    {
        var run = new Rehearsal(WithZero) { Disturbance = r => r.Doing(StepKind.Zero) ? pascals : 0 };
        Assert.Equal(RunOutcome.Completed, run.ToTheEnd().Ending.Outcome);
    }

    [Theory]
    [InlineData(1_700, RunOutcome.Completed)]
    [InlineData(2_000, RunOutcome.Aborted)]
    public void An_absolute_reference_is_compared_with_the_stated_atmosphere_and_that_is_known_to_two_hectopascals(double pascals, RunOutcome outcome)
    {
        DeviceDefinition absolute = Exercises.Transmitter with
        {
            RangeFrom = new(1m, PressureUnit.Bar, PressureReference.Absolute),
            RangeTo = new(17m, PressureUnit.Bar, PressureReference.Absolute),
        };
        var run = new Rehearsal(WithZero, device: absolute) { Disturbance = r => r.Doing(StepKind.Zero) ? pascals : 0 };
        Assert.Equal(outcome, run.ToTheEnd().Ending.Outcome);
    }
}
