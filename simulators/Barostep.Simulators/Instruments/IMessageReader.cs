namespace Barostep.Simulators.Instruments;

/// <summary>One dialect's side of an instrument: assembles messages from bytes and answers them.</summary>
public interface IMessageReader
{
    /// <summary>When the reader goes on with a message that had to wait; <see cref="long.MaxValue"/> when none does.</summary>
    long WakeMicros { get; }

    void Receive(byte value, long nowMicros);

    void Wake(long nowMicros);

    /// <summary>Forgets everything received and every setting of the dialect itself.</summary>
    void PowerOn();
}
