namespace Barostep.Configuration;

/// <summary>A person with a hand pump in the place of a pressure source: nothing of it can be told or asked over a line.</summary>
/// <param name="VentsWithinMicros">Time that the person has to open the release valve before a vent counts as slow, µs.</param>
public sealed record PersonAtPump(long VentsWithinMicros)
{
    /// <summary>Time to hear an alarm, let go of the pump and open a valve: one minute (trade practice).</summary>
    public const long UsualVentMicros = 60_000_000;
}
