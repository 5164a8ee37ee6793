using Barostep.Simulators;

namespace Barostep.Daemon.Simulation.Checkers;

/// <summary>The true gauge pressure of the whole time, each 10 ms.</summary>
internal sealed class TruthLog
{
    private readonly List<float> _gaugePascals = new(10_000);

    public void Look(in TrueState truth) => _gaugePascals.Add((float)(truth.PressurePa - truth.AtmospherePa));

    /// <summary>Lowest and highest between two times of the bench.</summary>
    public (double Lowest, double Highest) Between(long fromMicros, long toMicros)
    {
        int from = Math.Clamp((int)(fromMicros / World.TruthMicros) - 1, 0, _gaugePascals.Count - 1);
        int to = Math.Clamp((int)(toMicros / World.TruthMicros), from, _gaugePascals.Count - 1);
        double lowest = double.MaxValue;
        double highest = double.MinValue;
        for (int i = from; i <= to; i++)
        {
            lowest = Math.Min(lowest, _gaugePascals[i]);
            highest = Math.Max(highest, _gaugePascals[i]);
        }

        return (lowest, highest);
    }
}
