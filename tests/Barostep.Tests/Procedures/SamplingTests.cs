using Barostep.Configuration;
using Barostep.Control;
using Barostep.Instruments;
using Barostep.Procedures;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Tests.Procedures;

public class SamplingTests
{
    [Fact]
    public void Each_sample_pairs_a_device_reading_with_a_reference_reading_of_the_same_moment()
    {
        Rehearsal run = Rehearsal.Whole(Exercises.UpAndDown);
        Assert.All(AllSamples(run), s => Assert.InRange(
            Math.Abs(s.Reference.AnsweredMicros - s.Indication.AnsweredMicros), 0, 500_000));
        Assert.All(AllSamples(run), s => Assert.Equal(s.Reference.Raw[1..], s.Indication.Raw[1..]));
    }

    [Fact]
    public void No_device_reading_is_used_twice_and_all_are_in_order()
    {
        // The device answers every 0.7 s, the samples are due every 0.2 s.
        IndicationReading latest = default;
        var run = new Rehearsal(Exercises.UpAndDown with { ReadZero = true })
        {
            Change = s =>
            {
                if (s.Bench.Tick % 14 == 1)
                    latest = s.Indication with { Count = latest.Count + 1 };
                return s with { Indication = latest };
            },
        };
        run.Until(r => r.Points.Count == 3, 600);
        Sample[] samples = AllSamples(run);
        Assert.Equal(samples.Length, samples.Select(s => s.Indication.Raw).Distinct().Count());
        Assert.Equal(samples.OrderBy(s => s.Indication.AnsweredMicros), samples);
    }

    [Fact]
    public void Samples_are_at_least_the_interval_apart()
    {
        Rehearsal run = Rehearsal.Whole(Exercises.TwoPoints with { Samples = 5, SampleIntervalMicros = 400_000 });
        foreach (PointRecord point in run.Points)
        {
            Assert.Equal(5, point.Samples.Count);
            Assert.All(point.Samples.Zip(point.Samples.Skip(1)), pair =>
                Assert.True(pair.Second.Indication.AskedMicros - pair.First.Indication.AskedMicros >= 350_000));
        }
    }

    [Fact]
    public void A_reading_that_was_asked_for_before_the_point_settled_is_not_a_sample_of_it()
    {
        var run = new Rehearsal(Exercises.TwoPoints)
        {
            Change = s => s with { Indication = s.Indication with { AskedMicros = s.NowMicros - 900_000 } },
        };
        run.ToTheEnd();
        Assert.All(run.Points, p => Assert.All(p.Samples, s => Assert.True(s.Indication.AskedMicros >= p.SettledMicros)));
    }

    [Fact]
    public void Without_a_reference_reading_close_in_time_nothing_is_sampled()
    {
        Rehearsal run = AtReading();
        int before = run.State.Samples.Count;
        run.Change = s => s with { Bench = s.Bench with { Reference = s.Bench.Reference with { AnsweredAtMicros = s.NowMicros - 600_000 } } };
        run.Run(3);
        Assert.Equal(before, run.State.Samples.Count);
        run.Change = s => s with { Bench = s.Bench with { Reference = s.Bench.Reference with { Quality = ReadingQuality.NoReply } } };
        run.Run(3);
        Assert.Equal(before, run.State.Samples.Count);
    }

    [Fact]
    [Trait("SR", "50")]
    public void Void_samples_are_kept_and_mark_their_point()
    {
        var run = new Rehearsal(Exercises.UpAndDown)
        {
            Change = s => s with { Bench = s.Bench with { SamplesVoid = true } },
        };
        run.Until(r => r.Points.Count == 2, 600);
        run.Change = null;
        run.ToTheEnd();
        Assert.Equal([.. Enumerable.Repeat(PointMarks.VoidSamples, 2), .. Enumerable.Repeat(PointMarks.None, 4)], run.Points.Select(p => p.Marks));
        Assert.All(run.Points.Take(2), p => Assert.All(p.Samples, s => Assert.True(s.Void)));
        Assert.All(run.Points, p => Assert.Equal(3, p.Samples.Count));
    }

    [Fact]
    public void Values_are_told_in_the_devices_own_reference_with_the_characters_that_arrived()
    {
        Rehearsal run = Rehearsal.Whole(Exercises.TwoPoints);
        Sample sample = run.Points[1].Samples[0];
        Assert.Equal(800_000, sample.Reference.Value, 0);
        Assert.Equal(0.012, sample.Indication.Value, 6);
        Assert.StartsWith("R", sample.Reference.Raw, StringComparison.Ordinal);
        Assert.StartsWith("D", sample.Indication.Raw, StringComparison.Ordinal);
    }

    [Fact]
    public void A_gauge_that_tells_absolute_pressure_is_recorded_as_gauge_where_its_range_is_gauge()
    {
        RunPlan plan = Exercises.Plan(Exercises.TwoPoints, Exercises.Transmitter with { Output = DeviceOutput.Digital });
        var sequencer = new Sequencer(plan, 1);
        SequencerState reading = sequencer.Begin(0) with { Phase = RunPhase.Reading, StepIndex = plan.StepOf(1), Target = plan.Highest };
        var bench = new BenchSnapshot
        {
            Phase = GuardPhase.Permitted,
            Reference = new SensorReading(ReadingQuality.Good, plan.Highest, 10, 20, 1, 1),
        };
        SequencerStep step = sequencer.Step(reading, new SequencerInput(50, bench, new IndicationReading(1, 901_000, new ReplyText("X"u8), 10, 20), null, false, false));
        Assert.Equal(801_000, Assert.Single(step.State.Samples).Indication.Value);
    }

    [Fact]
    public void A_device_that_falls_silent_while_it_is_read_ends_the_run_after_the_grace()
    {
        Rehearsal run = AtReading();
        long since = run.Now;
        IndicationReading last = run.Seen.Indication;
        run.Change = s => s with { Indication = last };
        run.ToTheEnd();
        Assert.Equal(RunOutcome.InstrumentFailure, run.Ending.Outcome);
        Assert.Contains("device under test", run.Ending.Reason, StringComparison.Ordinal);
        long waited = run.Events.OfType<RunEvent.PhaseEntered>().Last(e => e.Phase == RunPhase.Venting).Micros - since;
        Assert.InRange(waited, 10_000_000, 20_000_000);
    }

    [Fact]
    public void A_device_that_answers_slowly_is_waited_for()
    {
        IndicationReading latest = default;
        var run = new Rehearsal(Exercises.TwoPoints with { Samples = 6 })
        {
            Change = s =>
            {
                if (s.Bench.Tick % 100 == 1)
                    latest = s.Indication with { Count = latest.Count + 1 };
                return s with { Indication = latest };
            },
        };
        run.ToTheEnd();
        Assert.Equal(RunOutcome.Completed, run.Ending.Outcome);
        Assert.All(run.Points, p => Assert.Equal(6, p.Samples.Count));
    }

    [Fact]
    public void Where_it_is_the_reference_that_fell_silent_the_reason_names_the_reference()
    {
        Rehearsal run = AtReading();
        run.Change = s => s with
        {
            Bench = s.Bench with
            {
                Reference = s.Bench.Reference with { Quality = ReadingQuality.LineLost },
                LineFault = "reference on port ref: no understandable answer",
            },
        };
        run.ToTheEnd();
        Assert.Equal(RunOutcome.InstrumentFailure, run.Ending.Outcome);
        Assert.Contains("reference on port ref", run.Ending.Reason, StringComparison.Ordinal);
    }

    private static Rehearsal AtReading() =>
        new Rehearsal(Exercises.TwoPoints with { Samples = 50 }).Until(r => r.AtPoint(0, RunPhase.Reading), 60);

    private static Sample[] AllSamples(Rehearsal run) =>
        [.. run.Events.SelectMany(e => e switch
        {
            RunEvent.ZeroRead zero => zero.Zero.Samples,
            RunEvent.PointRead point => point.Point.Samples,
            _ => [],
        })];
}
