using Barostep.Configuration;
using Barostep.Evaluation;
using Barostep.Evaluation.Corrections;
using Barostep.Evaluation.Switching;
using Barostep.Procedures;
using Barostep.Records;
using Barostep.Safety;
using Barostep.Tests.Records;

namespace Barostep.Tests.Evaluation.Switching;

/// <summary>
/// Trip point, reset point, deadband and repeatability of a pressure switch from ramps of known rate. The definitions of
/// deadband and repeatability are those of ISA-51.1, from memory; the arithmetic of each case stands beside it.
/// </summary>
public sealed class SwitchResultTests
{
    /// <summary>Of the ramps, Pa/s.</summary>
    private const double Rate = 500;

    private static readonly DeviceDefinition _switch = SampleRuns.Transmitter with
    {
        Name = "boiler-switch",
        RangeFrom = SampleRuns.Gauge(1m),
        RangeTo = SampleRuns.Gauge(6m),
        ToleranceOfSpan = 0.01,
        Output = DeviceOutput.Contact,
        Contact = new SwitchContact(SampleRuns.Gauge(3m), SampleRuns.Gauge(2.6m), ClosesWhenTripped: true, ContactReading.Resistance, 100),
    };

    private static readonly Procedure _ramps = SampleRuns.UpAndDown with { PointsOfSpan = [], SwitchTest = new SwitchTest(0.001, 2, 0.05) };

    [Fact]
    public void A_change_stands_at_the_middle_of_the_interval_in_which_it_came()
    {
        // The line through the reference is 300 000 Pa + 500 Pa/s · t with t = 0 at 1.000 s. The last open reading was asked
        // for at 1.00 s, the first closed one answered at 1.24 s: the middle is 0.12 s later, 300 060 Pa; half is 0.12 s.
        SwitchChange change = ChangeOf(Ramp(openAt: [0.0, 0.2, 0.4, 0.6, 0.8, 1.0], closedAt: [1.2, 1.4]))!;

        Assert.Equal(300_060, change.Pascals, 1e-6);
        Assert.Equal(0.12, change.HalfIntervalSeconds, 1e-9);
        Assert.Equal(Rate, change.RatePascalsPerSecond, 1e-6);
        Assert.Equal(60, change.IntervalHalfWidth, 1e-6);
    }

    [Fact]
    public void What_the_reference_is_behind_is_added_on_a_rise()
    {
        SwitchChange change = ChangeOf(Ramp([0.0, 0.2, 0.4, 0.6, 0.8, 1.0], [1.2, 1.4]), lagSeconds: 0.05)!;

        // 500 Pa/s · 0.05 s = 25 Pa.
        Assert.Equal(300_060 + 25, change.Pascals, 1e-6);
        Assert.Equal((25, 12.5), (change.LagCorrection, change.LagHalfWidth));
    }

    [Fact]
    public void A_contact_that_bounces_has_changed_when_it_stays()
    {
        List<Sample> bounced = Ramp([0.0, 0.2, 0.4, 0.6, 0.8, 1.0], [1.2, 1.4]);
        bounced[2] = bounced[2] with { Indication = bounced[2].Indication with { Value = 0.3 } };

        Assert.Equal(300_060, ChangeOf(bounced)!.Pascals, 1e-6);
    }

    [Fact]
    public void A_contact_that_never_changes_has_no_change() => Assert.Null(ChangeOf(Ramp([0.0, 0.2, 0.4, 0.6], [])));

    [Fact]
    public void A_void_reading_beside_the_change_leaves_it_unknown()
    {
        List<Sample> samples = Ramp([0.0, 0.2, 0.4, 0.6, 0.8, 1.0], [1.2, 1.4]);
        samples[5] = samples[5] with { Void = true };

        Assert.Null(ChangeOf(samples));
    }

    [Fact]
    public void Deadband_is_trip_less_reset_of_a_cycle_and_repeatability_the_spread_of_each()
    {
        // Trips at 301 and 302 kPa, resets at 259 and 262 kPa: deadbands 42 and 40 kPa, mean 41; spreads 1 and 3 kPa.
        SwitchResult switching = Result([(1, 301_000, 259_000), (2, 302_000, 262_000)]).Switching!;

        Assert.Equal(301_500, switching.Trip!.Value, 1e-6);
        Assert.Equal(260_500, switching.Reset!.Value, 1e-6);
        Assert.Equal(41_000, switching.Deadband!.Value, 1e-6);
        Assert.Equal(42_000, switching.LargestDeadband!.Value, 1e-6);
        Assert.Equal(1_000, switching.TripRepeatability!.Value, 1e-6);
        Assert.Equal(3_000, switching.ResetRepeatability!.Value, 1e-6);
    }

    [Fact]
    public void A_switch_within_its_tolerance_at_both_points_passes_and_one_that_trips_late_fails()
    {
        // 1 % of 5 bar is 5 kPa.
        Assert.Equal(Conformity.Passed, Result([(1, 304_900, 255_100), (2, 300_000, 260_000)]).Conformity);

        RunResult late = Result([(1, 305_200, 260_000), (2, 300_000, 260_000)]);
        Assert.Equal(Conformity.Failed, late.Conformity);
        Assert.Equal(-5_200, late.Points[0].Values!.ErrorPascals, 1e-6);
    }

    [Fact]
    public void A_switch_that_did_not_change_fails_with_that_reason()
    {
        RunRecord record = Record([(1, 300_000, 260_000), (2, 300_000, 260_000)]);
        PointRecord silent = record.Points[2] with { Samples = [.. record.Points[2].Samples.Where(sample => sample.Indication.Value > 100)] };
        RunResult result = RunEvaluation.Evaluate(record with { Points = [record.Points[0], record.Points[1], silent, record.Points[3]] });

        Assert.Equal(Conformity.Failed, result.Conformity);
        Assert.Equal(["the contact did not change in 1 of 4 ramps"], result.Reasons);
    }

    [Fact]
    public void A_ramp_that_was_not_made_leaves_the_run_undecided()
    {
        RunResult result = RunEvaluation.Evaluate(Record([(1, 300_000, 260_000)]));

        Assert.Equal(Conformity.NotDecided, result.Conformity);
        Assert.Equal(["2 of 4 points not read"], result.Reasons);
    }

    [Fact]
    public void The_interval_and_the_lag_stand_in_the_budget_as_rectangles()
    {
        RunRecord record = Record([(1, 300_000, 260_000), (2, 300_000, 260_000)]) with
        {
            Standards = [new StandardUse("reference", SampleRuns.Reference with { Corrections = [] }, null)],
            Arrangement = new MeasuringArrangement { ReferenceLagSeconds = 0.05 },
        };

        var inputs = RunEvaluation.Evaluate(record).Points[0].Budget!.Inputs;

        // a/√3 with a = 500 · 0.12 = 60 Pa, and a = 12.5 Pa (GUM 4.3.7).
        Assert.Equal(60 / Math.Sqrt(3), inputs.Single(input => input.Name == "contact, reading interval").StandardUncertainty, 1e-6);
        Assert.Equal(12.5 / Math.Sqrt(3), inputs.Single(input => input.Name == "reference, lag on the ramp").StandardUncertainty, 1e-6);
    }

    [Theory]
    [InlineData(ContactReading.Resistance, true, 0.2, true)]
    [InlineData(ContactReading.Resistance, true, 1e9, false)]
    [InlineData(ContactReading.Resistance, false, 0.2, false)]
    [InlineData(ContactReading.Voltage, true, 24.0, true)]
    [InlineData(ContactReading.Voltage, false, 24.0, false)]
    [InlineData(ContactReading.Voltage, false, 0.0, true)]
    public void A_contact_is_closed_at_little_resistance_or_much_voltage(ContactReading reading, bool closes, double value, bool tripped) =>
        Assert.Equal(tripped, (_switch.Contact! with { Reading = reading, ClosesWhenTripped = closes, Threshold = 5 }).IsTripped(value));

    [Fact]
    public void A_record_of_a_switch_comes_back_as_it_was_written()
    {
        RunResult result = Result([(1, 300_000, 260_000), (2, 301_000, 261_000)]);
        using var buffer = new MemoryStream();
        RunJson.Write(buffer, result);
        buffer.Position = 0;
        RunRecord read = RunJson.Read(buffer);

        Assert.Equal(result.Record.Device, read.Device);
        Assert.Equal(result.Record.Procedure.SwitchTest, read.Procedure.SwitchTest);
        Assert.Equal(result.Switching, RunEvaluation.Evaluate(read).Switching);
    }

    private static SwitchChange? ChangeOf(IReadOnlyList<Sample> samples, double lagSeconds = 0) =>
        SwitchChange.Of(_switch.Contact!, samples, tripping: true, RunCorrections.Of(Header()), lagSeconds);

    /// <summary>Readings of 40 ms each on a rising ramp that passes 300 000 Pa at 1 s.</summary>
    private static List<Sample> Ramp(double[] openAt, double[] closedAt) =>
        [.. openAt.Select(at => Reading(at, 1e9)), .. closedAt.Select(at => Reading(at, 0.2))];

    private static Sample Reading(double at, double value, double pascalsAtOneSecond = 300_000, double rate = Rate)
    {
        long asked = (long)Math.Round(at * 1e6);
        // The reference was read from 30 to 10 ms before: its middle is 20 ms before.
        var reference = new RawReading(pascalsAtOneSecond + (rate * (at - 0.02 - 1)), "R", asked - 30_000, asked - 10_000);
        return new Sample(reference, new RawReading(value, "C", asked, asked + 40_000), false);
    }

    private static RunResult Result((int Cycle, double Trip, double Reset)[] cycles) => RunEvaluation.Evaluate(Record(cycles));

    private static RunRecord Record((int Cycle, double Trip, double Reset)[] cycles) => Header() with
    {
        Points = [.. cycles.SelectMany(cycle => new[] { Point(cycle.Cycle, cycle.Trip, up: true), Point(cycle.Cycle, cycle.Reset, up: false) })],
    };

    /// <summary>A ramp on which the contact changes between 1.00 s and 1.24 s, at a pressure of 1.12 s.</summary>
    private static PointRecord Point(int cycle, double at, bool up)
    {
        double rate = up ? Rate : -Rate;
        double atOneSecond = at - (rate * 0.12);
        double[] before = [0.0, 0.2, 0.4, 0.6, 0.8, 1.0];
        Sample[] samples =
        [
            .. before.Select(second => Reading(second, up ? 1e9 : 0.2, atOneSecond, rate)),
            .. new[] { 1.2, 1.4 }.Select(second => Reading(second, up ? 0.2 : 1e9, atOneSecond, rate)),
        ];
        SwitchContact contact = _switch.Contact!;
        return new PointRecord(
            (2 * cycle) - (up ? 1 : 0), cycle, up ? SeriesDirection.Ascending : SeriesDirection.Descending,
            up ? contact.SwitchesAtPascals : contact.ResetsAtPascals, 0, 1_440_000, 1_440_000, PointMarks.None, samples);
    }

    private static RunRecord Header() => SampleRuns.Around(_switch, _ramps, [], []);
}
