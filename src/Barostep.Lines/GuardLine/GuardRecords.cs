using Barostep.Control;
using Barostep.Instruments;
using Barostep.Safety;

namespace Barostep.Lines.GuardLine;

/// <summary>What became of one request.</summary>
/// <param name="Number">The request's number; 0 for the hello.</param>
/// <param name="Accepted">Whether it was granted.</param>
/// <param name="Epoch">After a begun run: what its intents carry.</param>
/// <param name="Message">Why it was refused; empty where it was not.</param>
/// <param name="JournalHead">Hash of the journal's newest entry.</param>
public readonly record struct ReplyRecord(uint Number, bool Accepted, uint Epoch, string Message, string JournalHead)
{
    public int Write(Span<byte> bytes)
    {
        var writer = new RecordWriter(bytes, RecordKind.Reply);
        writer.UInt32(Number);
        writer.Flag(Accepted);
        writer.UInt32(Epoch);
        writer.Text(Message, RecordSizes.Message);
        writer.Text(JournalHead, RecordSizes.Hash);
        return writer.End();
    }

    public static bool TryRead(ReadOnlySpan<byte> bytes, out ReplyRecord reply)
    {
        bool begun = RecordReader.TryBegin(bytes, RecordKind.Reply, out RecordReader reader);
        reply = new ReplyRecord(
            reader.UInt32(), reader.Flag(), reader.UInt32(), reader.Text(RecordSizes.Message), reader.Text(RecordSizes.Hash));
        return begun && reader.IsComplete;
    }
}

/// <summary>What the guard tells of itself beside the bench.</summary>
/// <param name="JournalFile">Number of the journal file that it writes.</param>
/// <param name="KeepAlives">Keep-alives sent to the dump valve's relay.</param>
/// <param name="WorstLatenessMicros">Worst lateness of a cycle since the guard started, µs.</param>
/// <param name="LateCycles">Cycles later than the 20 ms that the design allows.</param>
/// <param name="IsLateOften">Whether more than three of them were within the last hour.</param>
/// <param name="SourceIdentity">What the pressure source said it is.</param>
/// <param name="ReferenceIdentity">What the reference said it is.</param>
public readonly record struct GuardReport(
    long JournalFile,
    long KeepAlives,
    long WorstLatenessMicros,
    long LateCycles,
    bool IsLateOften,
    string SourceIdentity,
    string ReferenceIdentity);

/// <summary>The guard's sight of the bench and of itself.</summary>
public readonly record struct SnapshotRecord(BenchSnapshot Bench, GuardReport Guard)
{
    public int Write(Span<byte> bytes)
    {
        var writer = new RecordWriter(bytes, RecordKind.Snapshot);
        writer.Int64(Bench.Tick);
        writer.Int64(Bench.NowMicros);
        writer.Byte((byte)Bench.Phase);
        writer.Byte((byte)Bench.Verdict);
        writer.Int64((long)Bench.Causes.Bits);
        writer.Byte((byte)Bench.FirstCause);
        writer.UInt32(Bench.TripNumber);
        writer.Flag(Bench.Depressurised);
        writer.Flag(Bench.SamplesVoid);
        writer.Int64(Bench.EffectiveCeiling.MilliPascals);
        writer.Byte((byte)Bench.DumpTest);
        WriteAlarms(ref writer, Bench.Alarms);
        WriteReading(ref writer, Bench.Reference);
        Span<byte> raw = stackalloc byte[ReplyText.Capacity];
        Bench.ReferenceRaw.CopyTo(raw);
        writer.UInt32((uint)Bench.ReferenceRaw.Length);
        writer.Bytes(raw, ReplyText.Capacity);
        WriteReading(ref writer, Bench.SourceSensor);
        writer.Flag(Bench.LineFault is not null);
        writer.Text(Bench.LineFault, RecordSizes.Message);
        writer.Int64(Guard.JournalFile);
        writer.Int64(Guard.KeepAlives);
        writer.Int64(Guard.WorstLatenessMicros);
        writer.Int64(Guard.LateCycles);
        writer.Flag(Guard.IsLateOften);
        writer.Text(Guard.SourceIdentity, RecordSizes.Identity);
        writer.Text(Guard.ReferenceIdentity, RecordSizes.Identity);
        return writer.End();
    }

    public static bool TryRead(ReadOnlySpan<byte> bytes, out SnapshotRecord snapshot)
    {
        bool begun = RecordReader.TryBegin(bytes, RecordKind.Snapshot, out RecordReader reader);
        var bench = new BenchSnapshot
        {
            Tick = reader.Int64(),
            NowMicros = reader.Int64(),
            Phase = (GuardPhase)reader.Byte((byte)GuardPhase.Testing),
            Verdict = (Verdict)reader.Byte((byte)Verdict.Drop),
            Causes = new CauseSet((ulong)reader.Int64()),
            FirstCause = (Cause)reader.Byte((byte)Cause.RequestRefused),
            TripNumber = reader.UInt32(),
            Depressurised = reader.Flag(),
            SamplesVoid = reader.Flag(),
            EffectiveCeiling = Pressure.FromMilliPascals(reader.Int64()),
            DumpTest = (DumpTestState)reader.Byte((byte)DumpTestState.Ended),
            Alarms = ReadAlarms(ref reader),
            Reference = ReadReading(ref reader),
            ReferenceRaw = ReadRaw(ref reader),
            SourceSensor = ReadReading(ref reader),
            LineFault = reader.Flag() ? reader.Text(RecordSizes.Message) : NoText(ref reader),
        };
        var guard = new GuardReport(
            reader.Int64(), reader.Int64(), reader.Int64(), reader.Int64(), reader.Flag(), reader.Text(RecordSizes.Identity), reader.Text(RecordSizes.Identity));
        snapshot = new SnapshotRecord(bench, guard);
        return begun && reader.IsComplete;
    }

    private static void WriteAlarms(ref RecordWriter writer, in AlarmSummary alarms)
    {
        writer.Int64((long)alarms.Active.Bits);
        writer.Int64((long)alarms.Unacknowledged.Bits);
        writer.Int64((long)alarms.Shelved.Bits);
        writer.Int64((long)alarms.OutOfService.Bits);
        writer.Int64((long)alarms.Consequences.Bits);
        writer.Byte((byte)alarms.First);
        writer.Flag(alarms.Flood);
    }

    private static AlarmSummary ReadAlarms(ref RecordReader reader) => new(
        new CauseSet((ulong)reader.Int64()),
        new CauseSet((ulong)reader.Int64()),
        new CauseSet((ulong)reader.Int64()),
        new CauseSet((ulong)reader.Int64()),
        new CauseSet((ulong)reader.Int64()),
        (Cause)reader.Byte((byte)Cause.RequestRefused),
        reader.Flag());

    private static void WriteReading(ref RecordWriter writer, in SensorReading reading)
    {
        writer.Byte((byte)reading.Quality);
        writer.Int64(reading.Value.MilliPascals);
        writer.Int64(reading.AskedAtMicros);
        writer.Int64(reading.AnsweredAtMicros);
        writer.Int64((long)reading.RawHash);
        writer.Int64(reading.Count);
    }

    private static SensorReading ReadReading(ref RecordReader reader) => new(
        (ReadingQuality)reader.Byte((byte)ReadingQuality.LineLost),
        Pressure.FromMilliPascals(reader.Int64()),
        reader.Int64(),
        reader.Int64(),
        (ulong)reader.Int64(),
        reader.Int64());

    private static ReplyText ReadRaw(ref RecordReader reader)
    {
        int length = (int)Math.Min(reader.UInt32(), int.MaxValue);
        return ReplyText.Restore(reader.Bytes(ReplyText.Capacity), length);
    }

    private static string? NoText(ref RecordReader reader)
    {
        _ = reader.Text(RecordSizes.Message);
        return null;
    }
}
