using Barostep.Control;
using Barostep.Instruments;
using Barostep.Lines.GuardLine;
using Barostep.Safety;
using CsCheck;

namespace Barostep.Tests.Guard;

public sealed class GuardRecordTests
{
    private readonly byte[] _bytes = new byte[RecordSizes.Longest];

    [Fact]
    public void A_snapshot_arrives_as_it_was_sent()
    {
        var sent = new SnapshotRecord(
            new BenchSnapshot
            {
                Tick = 17,
                NowMicros = 123_456_789,
                Phase = GuardPhase.Tripped,
                Verdict = Verdict.Drop,
                Causes = CauseSet.Of(Cause.OverCeiling) | CauseSet.Of(Cause.RequestRefused),
                FirstCause = Cause.OverCeiling,
                TripNumber = 4,
                Depressurised = true,
                SamplesVoid = true,
                EffectiveCeiling = Pressure.FromMilliPascals(1_700_000_001),
                DumpTest = DumpTestState.Passed,
                Alarms = new AlarmSummary(new CauseSet(2), new CauseSet(4), new CauseSet(8), new CauseSet(16), new CauseSet(32), Cause.UnderFloor, true),
                Reference = new SensorReading(ReadingQuality.Good, Pressure.FromMilliPascals(-5), 1, 2, ulong.MaxValue, 3),
                ReferenceRaw = new ReplyText("#07P+00016.0001BGA2"u8),
                SourceSensor = new SensorReading(ReadingQuality.NoReply, Pressure.Vacuum, 7, 8, 9, 10),
                LineFault = "pressure source on port controller: no understandable answer – Größe",
            },
            new GuardReport(3, 400, 21_000, 2, true, "SIMULATED,CONTROLLER,SC-01042,1.0", "SI-02077"));

        Assert.True(SnapshotRecord.TryRead(_bytes.AsSpan(0, sent.Write(_bytes)), out SnapshotRecord read));
        Assert.Equal(sent, read);
    }

    [Fact]
    public void A_bench_without_a_fault_has_none_after_the_journey()
    {
        var sent = new SnapshotRecord(default, new GuardReport(0, 0, 0, 0, false, string.Empty, string.Empty));

        Assert.True(SnapshotRecord.TryRead(_bytes.AsSpan(0, sent.Write(_bytes)), out SnapshotRecord read));
        Assert.Null(read.Bench.LineFault);
    }

    [Fact]
    public void What_clients_say_arrives_as_it_was_sent()
    {
        var hello = new HelloRecord(ClientRole.Sequencer, "demo");
        Assert.True(HelloRecord.TryRead(_bytes.AsSpan(0, hello.Write(_bytes)), out HelloRecord readHello));
        Assert.Equal(hello, readHello);

        var intent = new IntentRecord(new Intent(3, 9, IntentKind.Pressurise, Pressure.FromMilliPascals(900_000_000), 50_000, 77));
        Assert.True(IntentRecord.TryRead(_bytes.AsSpan(0, intent.Write(_bytes)), out IntentRecord readIntent));
        Assert.Equal(intent, readIntent);

        var person = new PersonRecord(5, PersonRequestKind.Acknowledge, 12, Pressure.Vacuum, "Ines Quandt", "hose was loose; tightened");
        Assert.True(PersonRecord.TryRead(_bytes.AsSpan(0, person.Write(_bytes)), out PersonRecord readPerson));
        Assert.Equal(person, readPerson);

        var begin = new BeginRunRecord(1, "run", "transmitter-16bar", "five-point", "workshop", new string('a', 64), true);
        Assert.True(BeginRunRecord.TryRead(_bytes.AsSpan(0, begin.Write(_bytes)), out BeginRunRecord readBegin));
        Assert.Equal(begin, readBegin);

        var end = new EndRunRecord(2, "run", "Completed");
        Assert.True(EndRunRecord.TryRead(_bytes.AsSpan(0, end.Write(_bytes)), out EndRunRecord readEnd));
        Assert.Equal(end, readEnd);

        var reply = new ReplyRecord(2, false, 4, "another program runs this bench", new string('0', 64));
        Assert.True(ReplyRecord.TryRead(_bytes.AsSpan(0, reply.Write(_bytes)), out ReplyRecord readReply));
        Assert.Equal(reply, readReply);
    }

    [Fact]
    public void A_text_that_is_too_long_is_cut_between_characters_and_says_so()
    {
        var sent = new HelloRecord(ClientRole.Watcher, new string('ß', 40));

        Assert.True(HelloRecord.TryRead(_bytes.AsSpan(0, sent.Write(_bytes)), out HelloRecord read));
        Assert.Equal(new string('ß', 22) + "…", read.Bench);
    }

    [Fact]
    public void A_record_cut_or_lengthened_anywhere_is_no_record()
    {
        var intent = new IntentRecord(new Intent(3, 9, IntentKind.Vent, Pressure.Vacuum, 1, 77));
        int length = intent.Write(_bytes);

        for (int cut = 0; cut < length; cut++)
            Assert.False(IntentRecord.TryRead(_bytes.AsSpan(0, cut), out _));
        Assert.False(IntentRecord.TryRead(_bytes.AsSpan(0, length + 1), out _));
    }

    [Theory]
    [InlineData(0, 0x00)] // magic number
    [InlineData(4, 0x01)] // version
    [InlineData(5, 0x06)] // kind
    [InlineData(16, 0x7F)] // kind of the intent
    public void A_record_with_a_field_that_cannot_be_is_no_record(int place, byte value)
    {
        int length = new IntentRecord(new Intent(3, 9, IntentKind.Vent, Pressure.Vacuum, 1, 77)).Write(_bytes);
        _bytes[place] = value;

        Assert.False(IntentRecord.TryRead(_bytes.AsSpan(0, length), out _));
    }

    [Fact]
    public void Garbage_behind_a_true_header_is_read_without_an_exception()
    {
        Gen.Select(Gen.Byte.Array[0, 300], Gen.Byte[1, 8]).Sample((body, kind) =>
        {
            byte[] record = [0x42, 0x53, 0x54, 0x47, RecordWriter.Version, kind, (byte)(body.Length + 8), (byte)((body.Length + 8) >> 8), .. body];
            Assert.Equal((RecordKind)kind, RecordReader.KindOf(record));
            bool person = PersonRecord.TryRead(record, out PersonRecord said);
            Assert.True(!person || said.Kind <= PersonRequestKind.RaiseCeiling);
            bool intent = IntentRecord.TryRead(record, out IntentRecord wanted);
            Assert.True(!intent || wanted.Intent.Kind <= IntentKind.Abort);
            _ = BeginRunRecord.TryRead(record, out _);
            _ = EndRunRecord.TryRead(record, out _);
            _ = VentRecord.TryRead(record, out _);
            _ = SnapshotRecord.TryRead(record, out _);
            _ = ReplyRecord.TryRead(record, out _);
        });
    }
}
