using System.Text;
using Barostep.Safety;

namespace Barostep.Tests.Safety.Journal;

public class JournalRecoveryTests
{
    [Fact]
    [Trait("SR", "24")]
    public void A_start_finds_the_latch_of_the_last_cycle_and_whether_the_stop_was_clean()
    {
        SampleJournal tripped = new SampleJournal().Begin(file: 6).Ticks(1, 2).Tick(3, Tripped);
        JournalRecovery unclean = Scan(tripped.Bytes);
        Assert.Equal((6, false, true, 8u, Cause.OverCeiling), (unclean.FileNumber, unclean.EndsCleanly, unclean.LatchIsKnown, unclean.TripNumber, unclean.FirstCause));
        Assert.Equal(CauseSet.Of(Cause.OverCeiling), unclean.Latched);

        JournalRecovery clean = Scan(tripped.Append(4, new StopPayload("end of shift", VentConfirmed: true)).Bytes);
        Assert.True(clean.EndsCleanly);
        Assert.Equal(CauseSet.Of(Cause.OverCeiling), clean.Latched);
    }

    [Fact]
    public void A_torn_tail_is_never_a_clean_end_and_loses_no_latch()
    {
        byte[] bytes = new SampleJournal().Begin().Tick(1, Tripped).Append(2, new StopPayload("end of shift", VentConfirmed: true)).Append(3, new NotePayload(0, "guard", "late")).Bytes;
        int lastLine = Encoding.ASCII.GetString(bytes).TrimEnd('\n').LastIndexOf('\n') + 1;
        for (int length = lastLine + 1; length < bytes.Length; length++)
        {
            JournalRecovery torn = Scan(bytes[..length]);
            Assert.Equal((false, true, 8u), (torn.EndsCleanly, torn.MayContinue, torn.TripNumber));
            Assert.Equal(lastLine, torn.IntactBytes);
        }
    }

    [Fact]
    public void A_lowered_ceiling_outlives_the_program()
    {
        Pressure lowered = Pressure.FromMilliPascals(400_000_000);
        Assert.Null(Scan(new SampleJournal().Begin().Ticks(1, 2).Bytes).LoweredCeiling);
        JournalRecovery found = Scan(new SampleJournal().Begin().Ticks(1, 2).Tick(3, decision => decision with { EffectiveCeiling = lowered }).Bytes);
        Assert.Equal(lowered, found.LoweredCeiling);
        Assert.Equal((true, lowered), (found.RestartState.CeilingIsLowered, found.RestartState.LoweredCeiling));

        SafetyState state = SafetyState.AfterRestart(CauseSet.Empty, Cause.None, 3, lowered);
        Assert.Equal(state, Scan(new SampleJournal().Begin().Append(1, new StatePayload(state)).Bytes).RestartState);
    }

    [Fact]
    [Trait("SR", "43")]
    public void Corruption_forbids_to_continue()
    {
        byte[] bytes = new SampleJournal().Begin().Ticks(1, 3).Bytes;
        bytes[40] ^= 1;
        Assert.False(Scan(bytes).MayContinue);
    }

    [Fact]
    public void Without_a_cycle_or_state_the_latch_is_unknown()
    {
        Assert.False(Scan([]).LatchIsKnown);
        Assert.False(Scan(new SampleJournal().Append(0, SampleJournal.Opening(1)).Bytes).LatchIsKnown);
        Assert.True(Scan(new SampleJournal().Begin().Bytes).LatchIsKnown);
    }

    private static RecordedDecision Tripped(RecordedDecision decision) =>
        decision with { Latched = CauseSet.Of(Cause.OverCeiling), FirstCause = Cause.OverCeiling, TripNumber = 8 };

    private static JournalRecovery Scan(byte[] bytes) => JournalRecovery.Scan(new MemoryStream(bytes));
}
