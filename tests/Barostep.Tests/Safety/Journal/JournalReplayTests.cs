using Barostep.Safety;

namespace Barostep.Tests.Safety.Journal;

public class JournalReplayTests
{
    [Fact]
    [Trait("SR", "44")]
    public void A_journal_replays_to_the_same_decisions()
    {
        ReplayResult result = Replay(new SampleJournal().Begin().Ticks(1, 60).State(60).Ticks(61, 40));
        Assert.True(result.IsComplete, $"{result}");
        Assert.Equal(100, result.Replayed);
    }

    [Fact]
    public void A_decision_altered_and_sealed_again_is_named_with_its_field()
    {
        SampleJournal altered = new SampleJournal().Begin().Ticks(1, 9)
            .Tick(10, decision => decision with { KeepAlive = !decision.KeepAlive })
            .Ticks(11, 5);
        Assert.Null(SampleJournal.Reader(altered.Bytes).Verify());

        ReplayResult result = Replay(altered);
        Assert.Equal(9, result.Replayed);
        Assert.Equal((13L, 10L, "KeepAlive"), (result.Difference!.Sequence, result.Difference.Tick, result.Difference.Field));
        Assert.NotEqual(result.Difference.Then, result.Difference.Now);
    }

    [Fact]
    public void A_state_that_the_kernel_would_not_be_in_is_a_difference()
    {
        SampleJournal journal = new SampleJournal().Begin().Ticks(1, 5)
            .Append(5, new StatePayload(SafetyState.Initial with { TripNumber = 99 }));
        Assert.Equal("state", Replay(journal).Difference?.Field);
    }

    [Fact]
    public void Cycles_after_a_gap_wait_for_the_next_state()
    {
        ReplayResult result = Replay(new SampleJournal().Begin().Ticks(1, 5).Append(5, new GapPayload(3, "disk full")).Ticks(9, 4).State(13).Ticks(13, 6));
        Assert.Null(result.Difference);
        Assert.Equal((11L, 4L), (result.Replayed, result.NotReplayed));
        Assert.False(result.IsComplete);
    }

    [Fact]
    public void A_second_file_goes_on_from_the_first()
    {
        SampleJournal first = new SampleJournal().Begin().Ticks(1, 5).Append(5, new RotatePayload(2));
        SampleJournal whole = new SampleJournal().Begin().Ticks(1, 5).Append(5, new RotatePayload(2))
            .Append(5, SampleJournal.Opening(2, freshStart: false)).Ticks(6, 5);
        byte[] second = whole.Bytes[first.Bytes.Length..];

        IEnumerable<JournalEntry> chained = SampleJournal.Reader(first.Bytes).ReadAll().Concat(SampleJournal.Reader(second, first.Chain.Head).ReadAll());
        Assert.Equal(10, JournalReplay.Run(chained).Replayed);
        Assert.Equal(5, JournalReplay.Run(SampleJournal.Reader(second).ReadAll()).NotReplayed);
    }

    [Fact]
    public void An_entry_of_another_version_is_a_problem_and_no_exception()
    {
        IEnumerable<JournalEntry> foreign = SampleJournal.Reader(new SampleJournal().Begin().Ticks(1, 2).Bytes).ReadAll()
            .Select(entry => entry.Kind == JournalKind.Tick ? entry with { Payload = System.Text.Json.JsonElement.Parse("{}") } : entry);
        ReplayResult result = JournalReplay.Run(foreign);
        Assert.Contains("Entry 4", result.Problem, StringComparison.Ordinal);
        Assert.False(result.IsComplete);
    }

    private static ReplayResult Replay(SampleJournal journal)
    {
        JournalReader reader = SampleJournal.Reader(journal.Bytes);
        ReplayResult result = JournalReplay.Run(reader.ReadAll());
        Assert.Null(reader.Fault);
        return result;
    }
}
