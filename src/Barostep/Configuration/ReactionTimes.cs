namespace Barostep.Configuration;

/// <summary>The delays between a pressure and a shut valve that no other file tells, in seconds.</summary>
/// <remarks>The defaults are on the slow side, as trade practice has it where a data sheet is silent.</remarks>
public sealed record ReactionTimes
{
    /// <summary>What holds where a bench says nothing.</summary>
    public static readonly ReactionTimes Default = new();

    /// <summary>Oldest that the reference's sample can be when it is asked for: window and update period.</summary>
    public double ConversionAge { get; init; } = 0.100;

    /// <summary>Time constant of the reference's sensor.</summary>
    public double SensorLag { get; init; } = 0.050;

    /// <summary>Delay of the tubing to the reference; a wave covers 3 m in 10 ms.</summary>
    public double TubingLag { get; init; } = 0.010;

    /// <summary>How long an instrument takes to begin its answer.</summary>
    public double Turnaround { get; init; } = 0.020;

    /// <summary>How long a line adapter may keep a reply back; 16 ms is how most USB adapters arrive.</summary>
    public double AdapterLatency { get; init; } = 0.016;

    /// <summary>From a command that was heard to the valve's first movement, the source's own cycle included.</summary>
    public double ValveDead { get; init; } = 0.030;

    /// <summary>From its first movement to a shut valve.</summary>
    public double ValveClose { get; init; } = 0.050;
}
