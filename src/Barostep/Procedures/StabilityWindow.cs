using System.Collections.Immutable;

namespace Barostep.Procedures;

/// <summary>The newest readings of one sensor, no older than a window.</summary>
/// <remarks>An immutable value, so that a sequencer state can be kept and stepped again.</remarks>
public sealed class StabilityWindow
{
    /// <summary>A window over fewer readings says nothing about a slope.</summary>
    private const int FewestReadings = 5;

    private readonly ImmutableQueue<(long Micros, double Pascals)> _readings;
    private readonly int _count;
    private readonly long _newest;

    private StabilityWindow(ImmutableQueue<(long, double)> readings, int count, long newest)
    {
        _readings = readings;
        _count = count;
        _newest = newest;
    }

    public static StabilityWindow Empty { get; } = new([], 0, 0);

    /// <summary>Adds a reading and forgets those that are older than the window.</summary>
    public StabilityWindow Add(long micros, double pascals, long windowMicros)
    {
        ImmutableQueue<(long Micros, double Pascals)> readings = _readings.Enqueue((micros, pascals));
        int count = _count + 1;
        // One reading older than the window is kept: without it the window would never be full.
        while (count > 1 && Second(readings).Micros <= micros - windowMicros)
        {
            readings = readings.Dequeue();
            count--;
        }

        return new StabilityWindow(readings, count, micros);
    }

    /// <summary>Whether there are enough readings, over at least this long, to say anything.</summary>
    public bool Covers(long windowMicros) => _count >= FewestReadings && _newest - _readings.Peek().Micros >= windowMicros;

    /// <summary>Whether every reading of a full window lies within the band and the slope over it is small.</summary>
    /// <param name="target">Middle of the band, Pa.</param>
    /// <param name="band">Half-width of the band, Pa.</param>
    /// <param name="windowMicros">Length that the window must have.</param>
    /// <param name="slopeLimit">Largest magnitude of the slope, Pa/s.</param>
    public bool IsStable(double target, double band, long windowMicros, double slopeLimit)
    {
        if (!Covers(windowMicros))
            return false;
        foreach ((_, double pascals) in _readings)
        {
            if (Math.Abs(pascals - target) > band)
                return false;
        }

        return Math.Abs(SlopePerSecond()) <= slopeLimit;
    }

    /// <summary>The readings, oldest first: s after the first, and Pa.</summary>
    public (double[] Seconds, double[] Pascals) Readings()
    {
        long origin = _count == 0 ? 0 : _readings.Peek().Micros;
        return ([.. _readings.Select(reading => (reading.Micros - origin) * 1e-6)], [.. _readings.Select(reading => reading.Pascals)]);
    }

    /// <summary>The newest readings of this window.</summary>
    public StabilityWindow Newest(long windowMicros) =>
        _readings.Aggregate(Empty, (window, reading) => window.Add(reading.Micros, reading.Pascals, windowMicros));

    /// <summary>Least-squares slope over the window, Pa/s; 0 with fewer than two readings.</summary>
    public double SlopePerSecond()
    {
        if (_count < 2)
            return 0;
        long origin = _readings.Peek().Micros;
        double meanTime = 0, mean = 0;
        foreach ((long micros, double pascals) in _readings)
        {
            meanTime += (micros - origin) / 1e6 / _count;
            mean += pascals / _count;
        }

        double covariance = 0, variance = 0;
        foreach ((long micros, double pascals) in _readings)
        {
            double time = ((micros - origin) / 1e6) - meanTime;
            covariance += time * (pascals - mean);
            variance += time * time;
        }

        return variance > 0 ? covariance / variance : 0;
    }

    private static (long Micros, double Pascals) Second(ImmutableQueue<(long Micros, double Pascals)> readings) =>
        readings.Dequeue().Peek();
}
