using System.Reflection;
using System.Text;
using System.Text.Json;
using Barostep.Safety;
using CsCheck;

namespace Barostep.Tests.Safety.Journal;

public class JournalRoundTripTests
{
    [Fact]
    public void An_observation_comes_back_bit_for_bit() => Gen.ULong.Sample(seed =>
    {
        Observation seen = new Arbitrary(seed).Make<Observation>();
        JournalEntry entry = Single(new JournalChain(JournalHead.Genesis).AppendTick(seen, default(RecordedDecision)));
        Assert.Equal(seen, entry.ReadObservation());
    });

    [Fact]
    public void A_decision_comes_back_bit_for_bit() => Gen.ULong.Sample(seed =>
    {
        RecordedDecision decision = new Arbitrary(seed).Make<RecordedDecision>();
        JournalEntry entry = Single(new JournalChain(JournalHead.Genesis).AppendTick(default, decision));
        Assert.Equal(decision, entry.ReadDecision());
    });

    [Fact]
    public void A_recorded_decision_has_every_member_of_a_decision() => Gen.ULong.Sample(seed =>
    {
        Decision decision = new Arbitrary(seed).Make<Decision>();
        RecordedDecision recorded = RecordedDecision.Of(decision);
        PropertyInfo[] members = typeof(Decision).GetProperties();
        Assert.Equal(members.Select(one => one.Name).Order(), typeof(RecordedDecision).GetProperties().Select(one => one.Name).Order());
        Assert.All(members, one => Assert.Equal(one.GetValue(decision), typeof(RecordedDecision).GetProperty(one.Name)!.GetValue(recorded)));
    });

    [Fact]
    public void Any_member_that_differs_is_named() => Gen.ULong.Sample(seed =>
    {
        object one = new Arbitrary(seed).Make<RecordedDecision>();
        object other = new Arbitrary(~seed).Make<RecordedDecision>();
        foreach (PropertyInfo property in typeof(RecordedDecision).GetProperties())
        {
            object altered = (RecordedDecision)one with { };
            property.SetValue(altered, property.GetValue(other));
            bool same = Equals(property.GetValue(one), property.GetValue(other));
            Assert.Equal(same ? null : property.Name, ((RecordedDecision)one).FirstDifference((RecordedDecision)altered)?.Field);
        }
    });

    [Fact]
    public void A_state_comes_back_bit_for_bit() => Gen.ULong.Sample(seed =>
    {
        SafetyState state = new Arbitrary(seed).Make<SafetyState>();
        Assert.Equal(state, ((StatePayload)Through(new StatePayload(state))).State);
    });

    [Fact]
    public void Limits_come_back_bit_for_bit() => Gen.ULong.Sample(seed =>
    {
        SafetyLimits limits = new Arbitrary(seed).MakeLimits();
        SafetyLimits read = ((LimitsPayload)Through(new LimitsPayload("a", "b", limits))).Limits;
        Assert.Equal(limits.Contributions, read.Contributions);
        Assert.All(
            typeof(SafetyLimits).GetProperties().Where(one => one.Name != nameof(SafetyLimits.Contributions)),
            one => Assert.Equal(one.GetValue(limits), one.GetValue(read)));
    });

    [Fact]
    public void Limits_without_an_upper_limit_of_the_source_come_back_without_one()
    {
        SafetyLimits limits = SampleJournal.Limits with { SourceUpperLimit = null };
        Assert.Null(((LimitsPayload)Through(new LimitsPayload("a", "b", limits))).Limits.SourceUpperLimit);
    }

    [Fact]
    public void Every_other_payload_comes_back_equal()
    {
        JournalPayload[] payloads =
        [
            SampleJournal.Opening(3),
            new RaisePayload(Pressure.StandardAtmosphere, 7, "to \"6 bar\""),
            new TripPayload(2, Cause.OverCeiling, null, SafetyAction.Dump),
            new TripPayload(2, Cause.ReferenceStale, Pressure.Vacuum, SafetyAction.Dump),
            new AcknowledgePayload(2, "J. Nowak", "hose changed\nagain"),
            new CeilingPayload(Pressure.StandardAtmosphere, Pressure.Vacuum, "J. Nowak", "zażółć"),
            new RunStartPayload("r", "d", "p", "w"),
            new RunEndPayload("r", "completed"),
            new NotePayload(9, "J. Nowak", "\u0000\u001b[31m"),
            new GapPayload(long.MaxValue, "?"),
            new StopPayload("signal", false),
            new RotatePayload(4),
        ];
        Assert.All(payloads, payload => Assert.Equal(payload, Through(payload)));
    }

    [Fact]
    public void A_line_is_plain_ASCII_whatever_people_write()
    {
        ReadOnlyMemory<byte> line = new JournalChain(JournalHead.Genesis)
            .Append(default, new NotePayload(1, "zażółć", "\u001b[31m\r\n\u2028 漢"));
        Assert.All(line.Span[..^1].ToArray(), one => Assert.InRange(one, (byte)0x20, (byte)0x7E));
    }

    [Fact]
    public void A_payload_that_lacks_a_member_is_refused_by_name()
    {
        JournalEntry entry = Single(new JournalChain(JournalHead.Genesis).Append(default, new GapPayload(1, "x")));
        JournalEntry poorer = entry with { Payload = JsonElement.Parse("""{"lostTicks":1}""") };
        Assert.Contains("reason", Assert.Throws<JsonException>(() => poorer.ReadPayload()).Message, StringComparison.Ordinal);
    }

    [Fact]
    [Trait("SR", "22")]
    public void Journalling_a_cycle_allocates_nothing()
    {
        JournalChain chain = new(JournalHead.Genesis);
        Observation seen = SampleJournal.Seen(1);
        for (int i = 0; i < 200; i++)
            chain.AppendTick(seen, default(Decision));
        long before = GC.GetAllocatedBytesForCurrentThread();
        for (int i = 0; i < 1000; i++)
            chain.AppendTick(seen, default(Decision));
        Assert.Equal(before, GC.GetAllocatedBytesForCurrentThread());
    }

    private static JournalPayload Through(JournalPayload payload) =>
        Single(new JournalChain(JournalHead.Genesis).Append(new JournalStamp(5, 6), payload)).ReadPayload();

    private static JournalEntry Single(ReadOnlyMemory<byte> line)
    {
        JournalReader reader = SampleJournal.Reader(line.ToArray());
        Assert.True(reader.TryRead(out JournalEntry? entry), $"{reader.Fault?.Message} {Encoding.UTF8.GetString(line.Span)}");
        return entry;
    }
}
