using Barostep.Simulators.Instruments;

namespace Barostep.Simulators.Wire;

/// <summary>
/// The host's end of one instrument's line. Each direction sends one byte after another, ten bits each; what is read
/// and written here counts at the bench's present time.
/// </summary>
public sealed class SimulatedPort
{
    private const long NanosPerTenBitsAtOneBaud = 10_000_000_000;
    private const int BurstAtWrongSpeed = 8;

    private readonly BenchClock _clock;
    private readonly Pcg32 _random;
    private readonly Queue<TimedByte> _toInstrument = new(64);
    private readonly Queue<long> _terminators = new(8);
    private readonly Queue<TimedByte> _toHost = new(128);
    private readonly List<Instrument> _others = [];
    private byte[] _frame = new byte[64];
    private byte[] _held = [];
    private bool _hostSpeedDiffers;
    private long _hostFreeNanos;
    private long _instrumentFreeNanos;
    private long _nextGarbageMicros = long.MaxValue;

    internal SimulatedPort(string name, Instrument instrument, BenchClock clock, Pcg32 random)
    {
        Name = name;
        Instrument = instrument;
        _clock = clock;
        _random = random;
        Attach(instrument);
    }

    public string Name { get; }

    /// <summary>Speed of the instrument at the other end, bits per second.</summary>
    public int Baud => Instrument.Description.Baud;

    /// <summary>False between the faults <c>disconnect</c> and <c>reconnect</c>: writes are lost, reads bring nothing.</summary>
    public bool Connected { get; private set; } = true;

    /// <summary>Whether a read now would bring a byte.</summary>
    public bool HasArrived => _toHost.TryPeek(out TimedByte next) && next.AtMicros <= _clock.NowMicros;

    /// <summary>How often the cable was pulled.</summary>
    internal int HangUps { get; private set; }

    internal WireFaults Faults { get; } = new();

    internal Instrument Instrument { get; private set; }

    /// <summary>Earliest time at which something on this line has an effect. Bytes before a terminator only wait.</summary>
    internal long NextInternalMicros
    {
        get
        {
            long next = Math.Min(_nextGarbageMicros, WakeMicros);
            if (Echoes && _toInstrument.TryPeek(out TimedByte first))
            {
                return Math.Min(next, first.AtMicros);
            }

            return _terminators.TryPeek(out long terminator) ? Math.Min(next, terminator) : next;
        }
    }

    /// <summary>A bound from below on the next delivery to the host.</summary>
    internal long NextDeliveryMicros
    {
        get
        {
            long next = Math.Min(_nextGarbageMicros, WakeMicros);
            if (_toHost.TryPeek(out TimedByte arriving))
            {
                next = Math.Min(next, arriving.AtMicros);
            }

            if (_terminators.TryPeek(out long terminator))
            {
                next = Math.Min(next, terminator);
            }

            return Echoes && _toInstrument.TryPeek(out TimedByte first) ? Math.Min(next, first.AtMicros) : next;
        }
    }

    private bool Echoes => Faults.Echo || Instrument.Description.Echo;

    private long WakeMicros => _others.Count == 0 ? Instrument.WakeMicros : Math.Min(Instrument.WakeMicros, _others.Min(o => o.WakeMicros));

    private long NanosPerByte => NanosPerTenBitsAtOneBaud / Baud;

    /// <summary>Puts bytes on the wire now; they follow whatever is still being sent.</summary>
    public void HostWrite(ReadOnlySpan<byte> bytes)
    {
        if (!Connected)
        {
            return;
        }

        foreach (byte value in bytes)
        {
            _hostFreeNanos = Math.Max(_clock.NowMicros * 1000, _hostFreeNanos) + NanosPerByte;
            long arrives = UpToMicros(_hostFreeNanos);
            _toInstrument.Enqueue(new TimedByte(arrives, value));
            if (MayEndMessage(value))
            {
                _terminators.Enqueue(arrives);
            }
        }
    }

    /// <summary>Takes what has arrived by now; 0 when nothing has.</summary>
    public int HostRead(Span<byte> buffer)
    {
        int count = 0;
        while (count < buffer.Length && _toHost.TryPeek(out TimedByte next) && next.AtMicros <= _clock.NowMicros)
        {
            buffer[count++] = next.Value;
            _toHost.Dequeue();
        }

        return count;
    }

    /// <summary>Plugs another instrument into this line.</summary>
    internal void Attach(Instrument instrument)
    {
        Instrument = instrument;
        instrument.Replies = TakeReply;
    }

    /// <summary>Plugs a further instrument into this line; each answers to its own address.</summary>
    internal void Join(Instrument instrument)
    {
        _others.Add(instrument);
        instrument.Replies = TakeReply;
    }

    internal void Disconnect()
    {
        Connected = false;
        HangUps++;
        _toInstrument.Clear();
        _terminators.Clear();
        _toHost.Clear();
        _hostFreeNanos = 0;
        _instrumentFreeNanos = 0;
    }

    internal void Reconnect() => Connected = true;

    internal void Heal()
    {
        Faults.Clear();
        _held = [];
        _nextGarbageMicros = long.MaxValue;
        Connected = true;
    }

    /// <summary>Tells the line whether the host's speed differs from the instrument's.</summary>
    internal void SetWrongSpeed(bool wrong) => _hostSpeedDiffers = wrong;

    internal void StartGarbage(long periodMicros)
    {
        Faults.GarbagePeriodMicros = periodMicros;
        _nextGarbageMicros = periodMicros == 0 ? long.MaxValue : _clock.NowMicros + periodMicros;
    }

    /// <summary>Runs what is due at the bench's present time.</summary>
    internal void RunDue()
    {
        long now = _clock.NowMicros;
        DeliverBefore(now + 1);

        if (Instrument.WakeMicros <= now)
        {
            Instrument.Wake(now);
        }

        foreach (Instrument other in _others)
        {
            if (other.WakeMicros <= now)
            {
                other.Wake(now);
            }
        }

        if (_nextGarbageMicros <= now)
        {
            _nextGarbageMicros += Faults.GarbagePeriodMicros;
            byte noise = (byte)_random.Next();

            // Only on an idle line: a flood faster than the line would hold replies back long after it ended.
            if (_instrumentFreeNanos <= now * 1000)
            {
                Send([noise], now);
            }
        }
    }

    /// <summary>Hands the instrument every byte that arrived before the given time.</summary>
    internal void DeliverBefore(long micros)
    {
        while (_toInstrument.TryPeek(out TimedByte next) && next.AtMicros < micros)
        {
            _toInstrument.Dequeue();
            if (MayEndMessage(next.Value))
            {
                _terminators.TryDequeue(out _);
            }

            Arrive(next);
        }
    }

    private static long UpToMicros(long nanos) => (nanos + 999) / 1000;

    private static bool IsTerminator(byte value) => value is (byte)'\n' or (byte)'\r';

    // A frame of registers ends by silence: any byte may be its last.
    private bool MayEndMessage(byte value) => IsTerminator(value) || Instrument.Description.Dialect == Dialect.Registers;

    private void Arrive(TimedByte arrived)
    {
        if (Faults.WrongSpeed || _hostSpeedDiffers)
        {
            if (IsTerminator(arrived.Value))
            {
                SendNoise(BurstAtWrongSpeed, arrived.AtMicros);
            }

            return;
        }

        if (Echoes)
        {
            Send([arrived.Value], arrived.AtMicros);
        }

        Instrument.Receive(arrived.Value, arrived.AtMicros);
        foreach (Instrument other in _others)
        {
            other.Receive(arrived.Value, arrived.AtMicros);
        }
    }

    private void SendNoise(int count, long readyMicros)
    {
        Span<byte> noise = stackalloc byte[BurstAtWrongSpeed];
        foreach (ref byte value in noise[..count])
        {
            value = (byte)_random.Next();
        }

        Send(noise[..count], readyMicros);
    }

    private void TakeReply(ReadOnlySpan<byte> reply, long readyMicros)
    {
        if (!Connected || Faults.Silence.Strikes())
        {
            return;
        }

        int length = Exchange(reply);
        if (length > 0 && Faults.Merge.Strikes())
        {
            length--;
        }

        if (length > 0 && Faults.Truncate.Strikes())
        {
            length /= 2;
        }

        if (length > 0 && Faults.Garble.Strikes())
        {
            _frame[_random.NextBelow(length)] ^= (byte)(1 << _random.NextBelow(7));
        }

        long starts = readyMicros + Instrument.Description.TurnaroundMicros + Faults.DelayMicros;
        int times = Faults.Duplicate.Strikes() ? 2 : 1;
        for (int i = 0; i < times; i++)
        {
            Send(_frame.AsSpan(0, length), starts);
        }
    }

    // Copies the reply, or the held one in its place while replies come late, and returns its length.
    private int Exchange(ReadOnlySpan<byte> reply)
    {
        if (!Faults.Late.Strikes())
        {
            _held = [];
            return CopyToFrame(reply);
        }

        byte[] before = _held;
        _held = reply.ToArray();
        return CopyToFrame(before);
    }

    private int CopyToFrame(ReadOnlySpan<byte> reply)
    {
        if (_frame.Length < reply.Length)
        {
            _frame = new byte[reply.Length];
        }

        reply.CopyTo(_frame);
        return reply.Length;
    }

    private void Send(ReadOnlySpan<byte> bytes, long readyMicros)
    {
        if (!Connected)
        {
            return;
        }

        long starts = Math.Max(readyMicros * 1000, _instrumentFreeNanos);
        _instrumentFreeNanos = starts + (bytes.Length * NanosPerByte);
        for (int i = 0; i < bytes.Length; i++)
        {
            long ends = Instrument.Description.PerByte ? starts + ((i + 1) * NanosPerByte) : _instrumentFreeNanos;
            _toHost.Enqueue(new TimedByte(UpToMicros(ends), bytes[i]));
        }
    }
}
