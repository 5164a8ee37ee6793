using Barostep.Safety;

namespace Barostep.Control.Valves;

/// <summary>What the loop over a pump's valves has to know of its bench. Volumes and flows it learns by itself.</summary>
/// <param name="Near">A set point counts as reached this close before it.</param>
/// <param name="Passed">A set point may be passed by this much; further away the other valve brings the pressure back.</param>
/// <param name="LargestStep">Most that one pulse may change: gas that was compressed at once cools and falls back by up to a third of it.</param>
public sealed record ValveLoopSettings(PressureDifference Near, PressureDifference Passed, PressureDifference LargestStep)
{
    /// <summary>Shortest pulse that moves the valve at all; 2 ms, timed by the valve block itself (trade practice).</summary>
    public long ShortestPulseMicros { get; init; } = 2_000;

    /// <summary>Longest pulse; a block that hears nothing more shuts its valves after it.</summary>
    public long LongestPulseMicros { get; init; } = 500_000;

    /// <summary>From the end of a pulse until a reading tells what came of it: the valve's own delay and the sensor's lag.</summary>
    public long RestMicros { get; init; } = 150_000;
}
