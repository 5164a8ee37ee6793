using Barostep.Safety;

namespace Barostep.Lines.GuardLine;

/// <summary>A client's first record.</summary>
/// <param name="Role">What it means to do.</param>
/// <param name="Bench">Which bench it takes this guard for.</param>
public readonly record struct HelloRecord(ClientRole Role, string Bench)
{
    public int Write(Span<byte> bytes)
    {
        var writer = new RecordWriter(bytes, RecordKind.Hello);
        writer.Byte((byte)Role);
        writer.Text(Bench, RecordSizes.Name);
        return writer.End();
    }

    public static bool TryRead(ReadOnlySpan<byte> bytes, out HelloRecord hello)
    {
        bool begun = RecordReader.TryBegin(bytes, RecordKind.Hello, out RecordReader reader);
        hello = new HelloRecord((ClientRole)reader.Byte((byte)ClientRole.Sequencer), reader.Text(RecordSizes.Name));
        return begun && reader.IsComplete;
    }
}

/// <summary>The sequencer's wish.</summary>
public readonly record struct IntentRecord(Intent Intent)
{
    public int Write(Span<byte> bytes)
    {
        var writer = new RecordWriter(bytes, RecordKind.Intent);
        writer.UInt32(Intent.Epoch);
        writer.UInt32(Intent.Sequence);
        writer.Byte((byte)Intent.Kind);
        writer.Int64(Intent.Target.MilliPascals);
        writer.Int64(Intent.RateMilliPascalsPerSecond);
        writer.Int64(Intent.IssuedMicros);
        return writer.End();
    }

    public static bool TryRead(ReadOnlySpan<byte> bytes, out IntentRecord intent)
    {
        bool begun = RecordReader.TryBegin(bytes, RecordKind.Intent, out RecordReader reader);
        intent = new IntentRecord(new Intent(
            reader.UInt32(),
            reader.UInt32(),
            (IntentKind)reader.Byte((byte)IntentKind.Abort),
            Pressure.FromMilliPascals(reader.Int64()),
            reader.Int64(),
            reader.Int64()));
        return begun && reader.IsComplete && intent.Intent.RateMilliPascalsPerSecond >= 0;
    }
}

/// <summary>What a person asks for, with their name and reason.</summary>
/// <param name="Number">Comes back in the reply.</param>
/// <param name="Kind">What is asked.</param>
/// <param name="TripNumber">The trip that is acknowledged; ignored otherwise.</param>
/// <param name="Ceiling">The ceiling asked for, absolute; ignored otherwise.</param>
/// <param name="Who">Who asks.</param>
/// <param name="Why">Why.</param>
public readonly record struct PersonRecord(
    uint Number, PersonRequestKind Kind, uint TripNumber, Pressure Ceiling, string Who, string Why)
{
    public int Write(Span<byte> bytes)
    {
        var writer = new RecordWriter(bytes, RecordKind.Person);
        writer.UInt32(Number);
        writer.Byte((byte)Kind);
        writer.UInt32(TripNumber);
        writer.Int64(Ceiling.MilliPascals);
        writer.Text(Who, RecordSizes.Name);
        writer.Text(Why, RecordSizes.Reason);
        return writer.End();
    }

    public static bool TryRead(ReadOnlySpan<byte> bytes, out PersonRecord person)
    {
        bool begun = RecordReader.TryBegin(bytes, RecordKind.Person, out RecordReader reader);
        person = new PersonRecord(
            reader.UInt32(),
            (PersonRequestKind)reader.Byte((byte)PersonRequestKind.RaiseCeiling),
            reader.UInt32(),
            Pressure.FromMilliPascals(reader.Int64()),
            reader.Text(RecordSizes.Name),
            reader.Text(RecordSizes.Reason));
        return begun && reader.IsComplete;
    }
}

/// <summary>What a person does with an alarm.</summary>
/// <param name="Number">Comes back in the reply.</param>
/// <param name="Action">What.</param>
/// <param name="Cause">With which alarm; none where all are meant.</param>
/// <param name="Minutes">For how long; ignored but where one is shelved.</param>
/// <param name="Who">Who does it.</param>
/// <param name="Why">Why.</param>
public readonly record struct AlarmRecord(uint Number, AlarmAction Action, Cause Cause, uint Minutes, string Who, string Why)
{
    public int Write(Span<byte> bytes)
    {
        var writer = new RecordWriter(bytes, RecordKind.Alarm);
        writer.UInt32(Number);
        writer.Byte((byte)Action);
        writer.Byte((byte)Cause);
        writer.UInt32(Minutes);
        writer.Text(Who, RecordSizes.Name);
        writer.Text(Why, RecordSizes.Reason);
        return writer.End();
    }

    public static bool TryRead(ReadOnlySpan<byte> bytes, out AlarmRecord alarm)
    {
        bool begun = RecordReader.TryBegin(bytes, RecordKind.Alarm, out RecordReader reader);
        alarm = new AlarmRecord(
            reader.UInt32(),
            (AlarmAction)reader.Byte((byte)AlarmAction.Return),
            (Cause)reader.Byte((byte)Cause.RequestRefused),
            reader.UInt32(),
            reader.Text(RecordSizes.Name),
            reader.Text(RecordSizes.Reason));
        return begun && reader.IsComplete;
    }
}

/// <summary>A run is to begin. What limits it the guard reads for itself, from the files whose hash is named here.</summary>
/// <param name="Number">Comes back in the reply.</param>
/// <param name="Run">The run's name.</param>
/// <param name="Device">Names of the devices' files, the leading one first, with their inputs where they were named.</param>
/// <param name="Procedure">Name of the procedure's file.</param>
/// <param name="Who">Who began it.</param>
/// <param name="FilesHash">SHA-256 of the files as the client read them, hexadecimal.</param>
/// <param name="Simulated">Whether the client takes the bench for a simulated one.</param>
public readonly record struct BeginRunRecord(
    uint Number, string Run, string Device, string Procedure, string Who, string FilesHash, bool Simulated)
{
    public int Write(Span<byte> bytes)
    {
        var writer = new RecordWriter(bytes, RecordKind.BeginRun);
        writer.UInt32(Number);
        writer.Text(Run, RecordSizes.Name);
        writer.Text(Device, RecordSizes.Devices);
        writer.Text(Procedure, RecordSizes.File);
        writer.Text(Who, RecordSizes.Name);
        writer.Text(FilesHash, RecordSizes.Hash);
        writer.Flag(Simulated);
        return writer.End();
    }

    public static bool TryRead(ReadOnlySpan<byte> bytes, out BeginRunRecord run)
    {
        bool begun = RecordReader.TryBegin(bytes, RecordKind.BeginRun, out RecordReader reader);
        run = new BeginRunRecord(
            reader.UInt32(),
            reader.Text(RecordSizes.Name),
            reader.Text(RecordSizes.Devices),
            reader.Text(RecordSizes.File),
            reader.Text(RecordSizes.Name),
            reader.Text(RecordSizes.Hash),
            reader.Flag());
        return begun && reader.IsComplete;
    }
}

/// <summary>A run has ended.</summary>
public readonly record struct EndRunRecord(uint Number, string Run, string Outcome)
{
    public int Write(Span<byte> bytes)
    {
        var writer = new RecordWriter(bytes, RecordKind.EndRun);
        writer.UInt32(Number);
        writer.Text(Run, RecordSizes.Name);
        writer.Text(Outcome, RecordSizes.Name);
        return writer.End();
    }

    public static bool TryRead(ReadOnlySpan<byte> bytes, out EndRunRecord run)
    {
        bool begun = RecordReader.TryBegin(bytes, RecordKind.EndRun, out RecordReader reader);
        run = new EndRunRecord(reader.UInt32(), reader.Text(RecordSizes.Name), reader.Text(RecordSizes.Name));
        return begun && reader.IsComplete;
    }
}

/// <summary>Vent.</summary>
/// <param name="AtOnce">As fast as the bench can, instead of at the allowed rate.</param>
public readonly record struct VentRecord(bool AtOnce)
{
    public int Write(Span<byte> bytes)
    {
        var writer = new RecordWriter(bytes, RecordKind.Vent);
        writer.Flag(AtOnce);
        return writer.End();
    }

    public static bool TryRead(ReadOnlySpan<byte> bytes, out VentRecord vent)
    {
        bool begun = RecordReader.TryBegin(bytes, RecordKind.Vent, out RecordReader reader);
        vent = new VentRecord(reader.Flag());
        return begun && reader.IsComplete;
    }
}
