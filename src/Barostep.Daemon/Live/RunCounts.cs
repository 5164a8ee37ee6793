using Barostep.Evaluation;
using Barostep.Records;

namespace Barostep.Daemon.Live;

/// <summary>Runs, points and settling times since the daemon's start. Any thread.</summary>
internal sealed class RunCounts
{
    /// <summary>Upper ends of the settling times that are counted together, s: from a stiff line to a warm dead end.</summary>
    public static readonly double[] SettleBuckets = [1, 2, 5, 10, 20, 30, 60, 120, 300];

    private readonly Lock _gate = new();
    private readonly Dictionary<(string Bench, RunOutcome Outcome), long> _runs = [];
    private readonly Dictionary<(string Bench, SeriesDirection Direction, Conformity Verdict), long> _points = [];
    private readonly Dictionary<string, SettleTimes> _settle = [];

    public void Run(string bench, RunOutcome outcome)
    {
        lock (_gate)
            _runs[(bench, outcome)] = _runs.GetValueOrDefault((bench, outcome)) + 1;
    }

    public void Point(string bench, PointRecord point, PointResult result)
    {
        double seconds = (point.SettledMicros - point.ReachedMicros) / 1e6;
        lock (_gate)
        {
            (string, SeriesDirection, Conformity) key = (bench, result.Direction, result.Conformity);
            _points[key] = _points.GetValueOrDefault(key) + 1;
            if (!_settle.TryGetValue(bench, out SettleTimes? times))
                _settle[bench] = times = new SettleTimes();
            times.Add(seconds);
        }
    }

    /// <summary>Hands everything to somebody who writes it down.</summary>
    public void Tell(
        Action<string, RunOutcome, long> runs,
        Action<string, SeriesDirection, Conformity, long> points,
        Action<string, SettleTimes> settle)
    {
        lock (_gate)
        {
            foreach (((string bench, RunOutcome outcome), long count) in _runs)
                runs(bench, outcome, count);
            foreach (((string bench, SeriesDirection direction, Conformity verdict), long count) in _points)
                points(bench, direction, verdict, count);
            foreach ((string bench, SettleTimes times) in _settle)
                settle(bench, times);
        }
    }

    /// <summary>A histogram of settling times.</summary>
    internal sealed class SettleTimes
    {
        public long[] Counts { get; } = new long[SettleBuckets.Length];

        public double Sum { get; private set; }

        public long Count { get; private set; }

        public void Add(double seconds)
        {
            Sum += seconds;
            Count++;
            for (int i = 0; i < SettleBuckets.Length; i++)
                Counts[i] += seconds <= SettleBuckets[i] ? 1 : 0;
        }
    }
}
