namespace Barostep.Simulators.Instruments;

/// <summary>Takes an instrument's reply: its bytes and when the instrument had it ready.</summary>
public delegate void ReplySink(ReadOnlySpan<byte> reply, long readyMicros);

/// <summary>
/// An instrument by its bytes: what arrives, what goes out, and its own firmware in between. It knows no clock; every
/// call brings the time.
/// </summary>
public abstract class Instrument(InstrumentDescription description)
{
    private long _listensFromMicros;

    public InstrumentDescription Description { get; } = description;

    /// <summary>The serial number that it tells: its own, unless it stands for another one of its kind.</summary>
    public string Serial { get; set; } = description.Serial;

    /// <summary>Power interruptions since the bench started.</summary>
    public int Restarts { get; private set; }

    /// <summary>Where replies go; the line that the instrument is plugged into.</summary>
    public ReplySink Replies { get; set; } = static (_, _) => { };

    /// <summary>Next time at which the instrument has something to do that may bring a reply.</summary>
    public virtual long WakeMicros => Messages.WakeMicros;

    protected abstract IMessageReader Messages { get; }

    /// <summary>Takes one byte whose last bit arrived now.</summary>
    public void Receive(byte value, long nowMicros)
    {
        if (nowMicros >= _listensFromMicros)
        {
            Messages.Receive(value, nowMicros);
        }
    }

    public virtual void Wake(long nowMicros) => Messages.Wake(nowMicros);

    /// <summary>Lets sensors and firmware follow one step of the plant.</summary>
    public void Follow(in Surroundings surroundings)
    {
        Sense(surroundings);
        if (surroundings.NowMicros >= _listensFromMicros)
        {
            RunFirmware(surroundings.NowMicros);
        }
    }

    /// <summary>A power dip: deaf and idle for the boot time, then everything as at power on.</summary>
    public void Restart(long nowMicros)
    {
        Restarts++;
        _listensFromMicros = nowMicros + Description.BootMicros;
        Messages.PowerOn();
        PowerOn(nowMicros);
    }

    protected abstract void Sense(in Surroundings surroundings);

    protected virtual void RunFirmware(long nowMicros)
    {
    }

    /// <summary>Brings every setting to its power-on value.</summary>
    protected abstract void PowerOn(long nowMicros);
}
