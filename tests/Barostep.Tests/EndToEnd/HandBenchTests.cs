using Barostep.Configuration;
using Barostep.Daemon.Sweeps;
using Barostep.Evaluation;
using Barostep.Procedures.Prompts;
using Barostep.Records;
using Barostep.Safety;
using Barostep.Simulators;
using SimulatedFile = Barostep.Simulators.BenchFile;

namespace Barostep.Tests.EndToEnd;

/// <summary>A person with a hand pump and a dial gauge, from start to finish.</summary>
public sealed class HandBenchTests : IDisposable
{
    private readonly Workshop _workshop = new();

    public void Dispose() => _workshop.Dispose();

    [Fact]
    public void A_pointer_is_read_before_and_after_tapping_at_every_point_and_both_are_kept()
    {
        var bench = new HandBench(Job("hand-five-point"), Simulated);
        RunRecord record = bench.Run();

        Assert.True(record.Outcome == RunOutcome.Completed, record.OutcomeReason);
        Assert.Equal(10, record.Points.Count);
        Assert.All(record.Points, point =>
        {
            AnswerRecord[] told = [.. record.Answers.Where(answer => answer.Point == point.Index)];
            Assert.Equal([PromptKind.ReadPointer, PromptKind.ReadPointerTapped], told.Select(answer => answer.Kind));
            Sample sample = Assert.Single(point.Samples);
            Assert.Equal(told[1].IndicationPascals, sample.Indication.Value);
            Assert.Equal(told[1].ReferencePascals, sample.Reference.Value);
            Assert.Equal(told[1].Answer, sample.Indication.Raw);
        });
        // Friction holds the pointer back: below on the way up, above on the way down.
        Assert.True(Friction(record, 3) > 0, "going up, a tap lets the pointer rise");
        Assert.True(Friction(record, 8) < 0, "going down, it lets it fall");
        Assert.True(bench.AskedOnlyWhenPermitted);
        Assert.True(record.VentConfirmed);
    }

    [Fact]
    public void A_point_that_was_pumped_past_is_asked_for_again_from_the_right_side()
    {
        var bench = new HandBench(Job("hand-five-point"), Simulated);
        RunRecord record = bench.Run();

        int back = bench.Prompts.ToList().FindIndex(prompt => prompt.Kind == PromptKind.BringBack);
        Assert.True(back > 0, "the person of this bench slips once");
        (Prompt before, Prompt told, Prompt after) = (bench.Prompts[back - 1], bench.Prompts[back], bench.Prompts[back + 1]);
        Assert.Equal(PromptKind.BringTo, before.Kind);
        Assert.True(told.Target < before.Target, "a rising point is left downwards");
        Assert.Contains("passed", told.Text, StringComparison.Ordinal);
        Assert.Equal((PromptKind.BringTo, before.Target, before.Point), (after.Kind, after.Target, after.Point));
        Assert.All(record.Points, point => Assert.False(point.Marks.HasFlag(PointMarks.WrongApproach)));
    }

    [Fact]
    public void A_pointer_on_the_mark_has_the_error_of_a_pointer_that_was_read_within_what_the_eye_can_tell()
    {
        RunResult onMark = RunEvaluation.Evaluate(new HandBench(Job("hand-five-mark"), Simulated).Run());
        BenchDescription frictionless = Simulated.WithDeviceErrors(new DeviceErrors(0.3, -0.9));

        Assert.Equal(RunOutcome.Completed, onMark.Record.Outcome);
        Assert.All(onMark.Points, point => Assert.Equal(point.NominalPascals, point.Values!.IndicationPascals, 3));
        Assert.All(onMark.Record.Answers.Where(answer => answer.Point > 0), answer => Assert.Equal("on the mark", answer.Answer));
        // Zero and span error of the description are 0.3 % and -0.9 %: at half of the scale -0.15 %, without friction or hysteresis.
        RunResult plain = RunEvaluation.Evaluate(new HandBench(Job("hand-five-mark"), frictionless).Run());
        Assert.All(plain.Points, point => Assert.Equal(
            0.003 - (0.009 * point.NominalPascals / 1e6), point.Values!.ErrorOfSpan, 0.0006));
    }

    [Fact]
    public void The_part_of_a_division_that_the_eye_can_tell_is_in_the_budget_as_a_rectangle()
    {
        RunResult result = RunEvaluation.Evaluate(new HandBench(Job("hand-five-point"), Simulated).Run());

        // A resolution r adds r/(2√3): EURAMET cg-17 and DKD-R 6-1, from memory. r = 0.2 bar / 5 = 4 kPa.
        PointResult middle = result.Points.Single(point => point.Index == 3);
        Barostep.Evaluation.Uncertainty.UncertaintyInput line = Assert.Single(middle.Budget!.Inputs, input => input.Name == "indication, resolution");
        Assert.Equal(Barostep.Evaluation.Uncertainty.Distribution.Rectangular, line.Distribution);
        Assert.Equal(4_000 / (2 * Math.Sqrt(3)), Math.Abs(line.Contribution), 3);
    }

    [Fact]
    public void A_question_that_nobody_answers_ends_the_run_and_tells_to_release_the_pressure()
    {
        SweepJob job = Job("hand-five-point");
        job = job with { Bench = job.Bench with { AnswersWithinMicros = 60_000_000 } };
        var bench = new HandBench(job, Simulated) { Hears = prompt => prompt is not { Point: 3, Kind: PromptKind.ReadPointer } };
        RunRecord record = bench.Run();

        Assert.Equal(RunOutcome.Aborted, record.Outcome);
        Assert.StartsWith("nobody answered within 1 min: Where does the pointer stand?", record.OutcomeReason, StringComparison.Ordinal);
        Prompt last = bench.Prompts[^1];
        Assert.Equal((PromptKind.Release, true), (last.Kind, last.IsUrgent));
        Assert.Equal(60_000_000, last.SinceMicros - bench.Prompts[^2].SinceMicros, 200_000.0);
        Assert.True(record.VentConfirmed);
    }

    [Fact]
    public void A_pressure_that_nobody_makes_ends_the_run_with_what_was_asked()
    {
        SweepJob job = Job("hand-five-point");
        job = job with
        {
            Bench = job.Bench with { AnswersWithinMicros = 60_000_000 },
            Procedure = job.Procedure with { Settle = job.Procedure.Settle with { TimeoutMicros = 60_000_000 } },
        };
        var bench = new HandBench(job, Simulated) { Hears = prompt => prompt is not { Point: 2, Kind: PromptKind.BringTo } };
        RunRecord record = bench.Run();

        Assert.Equal(RunOutcome.Aborted, record.Outcome);
        Assert.Equal(
            "nobody brought the pressure within 1 min: Pump up to 2.5 bar, the last of it with the fine screw and never past it; then hands off until it is still.",
            record.OutcomeReason);
        Assert.Single(record.Points);
    }

    [Fact]
    public void Where_a_person_does_not_vent_the_dump_valve_does()
    {
        WorkshopConfiguration all = _workshop.Load();
        SweepJob job = Job("hand-five-point");
        job = job with { Bench = job.Bench with { DumpValve = all.Benches["demo"].DumpValve, Person = new PersonAtPump(5_000_000) } };
        BenchDescription description = Simulated with { Dump = SimulatedFile.Load("demo").Dump };
        // Deaf to the first wish to vent under pressure, which comes after the preload.
        var bench = new HandBench(job, description) { Hears = prompt => prompt.Kind != PromptKind.Release || prompt.Number < 3 };
        RunRecord record = bench.Run();

        Assert.Equal(RunOutcome.Tripped, record.Outcome);
        Assert.Equal(Cause.VentFailed, bench.Last.FirstCause);
        Assert.True(record.VentConfirmed, record.OutcomeReason);
        Assert.Equal(1, bench.Truth.DumpOpening);
        Assert.True(bench.Prompts[^1].IsUrgent);
    }

    [Fact]
    [Trait("SR", "03")]
    public void A_person_who_pumps_past_the_ceiling_trips_the_bench_and_is_told_to_vent()
    {
        SweepJob job = Job("hand-five-point");
        PersonDescription person = Simulated.Instruments.Single(one => one.Person is not null).Person!;
        BenchDescription description = Simulated with
        {
            Instruments = [.. Simulated.Instruments.Select(one => one.Person is null ? one : one with { Person = person with { SlipsAtRaise = 2, SlipPa = 400_000 } })],
        };
        var bench = new HandBench(job, description);
        RunRecord record = bench.Run();

        Assert.Equal(RunOutcome.Tripped, record.Outcome);
        Assert.Contains(bench.Last.FirstCause, new[] { Cause.OverCeiling, Cause.HeadingOverCeiling });
        Assert.Equal((PromptKind.Release, true), (bench.Prompts[^1].Kind, bench.Prompts[^1].IsUrgent));
        Assert.True(record.VentConfirmed);
        // The person hears the alarm at once, and one stroke is under way: far from what the bench's parts stand.
        Assert.InRange(bench.Highest, 1_150_000, 1_300_000);
    }

    private static BenchDescription Simulated => SimulatedFile.Load("hand");

    private SweepJob Job(string procedure)
    {
        SweepJob job = VirtualRun.Job(_workshop, "hand", "dial-gauge", procedure);
        return job with { Standards = StandardsInUse.Record(job.Bench, new DateOnly(2026, 11, 25), null) };
    }

    private static double Friction(RunRecord record, int point)
    {
        AnswerRecord[] told = [.. record.Answers.Where(answer => answer.Point == point)];
        return told[1].IndicationPascals!.Value - told[0].IndicationPascals!.Value;
    }
}
