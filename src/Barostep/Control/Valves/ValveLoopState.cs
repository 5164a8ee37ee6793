using Barostep.Safety;

namespace Barostep.Control.Valves;

/// <summary>Everything that the loop remembers from one step to the next.</summary>
public readonly record struct ValveLoopState
{
    /// <summary>The order whose effect has not been seen yet; none where nothing is awaited.</summary>
    public ValveOrder Awaited { get; init; }

    /// <summary>Length of that pulse.</summary>
    public long PulseMicros { get; init; }

    /// <summary>The pressure before it.</summary>
    public Pressure Before { get; init; }

    /// <summary>From when a reading tells what came of it.</summary>
    public long BelieveFromMicros { get; init; }

    /// <summary>The newest reading but one that was looked at, and when it was asked for: how fast the pressure drifts.</summary>
    public Pressure Earlier { get; init; }

    public long EarlierAskedMicros { get; init; }

    /// <summary>How the valves stand between pulses: shut, or open to the atmosphere; none while nobody knows.</summary>
    public ValveOrder Standing { get; init; }

    /// <summary>What the fill does, Pa for each microsecond: learned from the pulses so far.</summary>
    public ValveEffect Fill { get; init; }

    /// <summary>What the bleed does, share of the absolute pressure for each microsecond: gas leaves in proportion to it.</summary>

    public ValveEffect Bleed { get; init; }

    /// <summary>The set point that is being approached.</summary>
    public Pressure SetPoint { get; init; }

    /// <summary>From which side: 1 from below, -1 from above, 0 before the first set point.</summary>
    public int Side { get; init; }

    /// <summary>Pulses so far: what wears a valve.</summary>
    public long Pulses { get; init; }
}

/// <summary>What a valve did in its last pulses.</summary>
/// <param name="PulseMicros">Length of the last one; 0 before the first.</param>
/// <param name="PerMicro">What it changed for each microsecond, never 0 once it was seen.</param>
public readonly record struct ValveEffect(long PulseMicros, double PerMicro)
{
    /// <summary>
    /// The smallest effect that is believed of a valve: a pulse that the noise hides must not make the next one endless.
    /// </summary>
    private const double Least = 1e-12;

    /// <summary>
    /// What is left of an effect that the newest pulse did not show: gas that an earlier pulse warmed cools meanwhile, and
    /// hides what this one did at once.
    /// </summary>
    private const double Forgetting = 0.8;

    /// <summary>With what one more pulse did.</summary>
    public ValveEffect After(long pulseMicros, double change) =>
        new(pulseMicros, Math.Max(change / pulseMicros, Math.Max(PerMicro * Forgetting, Least)));
}
