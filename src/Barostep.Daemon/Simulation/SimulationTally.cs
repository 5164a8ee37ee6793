using System.Diagnostics;
using System.Globalization;

namespace Barostep.Daemon.Simulation;

/// <summary>A violation as it is told.</summary>
/// <param name="Seed">The seed that shows it.</param>
/// <param name="Invariant">What did not hold.</param>
/// <param name="AtSeconds">When, in the bench's time.</param>
/// <param name="What">What was seen.</param>
/// <param name="Repeat">The command that repeats it.</param>
/// <param name="Smallest">The command that repeats the smallest schedule that still shows it.</param>
internal sealed record ShownViolation(ulong Seed, string Invariant, double AtSeconds, string What, string Repeat, string Smallest);

/// <summary>Counts seeds, and what they took.</summary>
internal sealed class SimulationTally
{
    private readonly List<ShownViolation> _violations = [];
    private readonly TimeSpan _began = Process.GetCurrentProcess().TotalProcessorTime;
    private int _seeds;
    private double _benchSeconds;

    public IReadOnlyList<ShownViolation> Violations => _violations;

    public SeedResult? Last { get; private set; }

    public void Add(SeedResult result)
    {
        Last = result;
        _seeds++;
        _benchSeconds += result.BenchMicros / 1e6;
    }

    public void Add(ShownViolation violation) => _violations.Add(violation);

    /// <summary>One line for people.</summary>
    public string Text()
    {
        double cpu = CpuSeconds;
        return string.Create(
            CultureInfo.InvariantCulture,
            $"{_seeds} seeds, {_violations.Count} violations; {_benchSeconds / 3600:0.00} bench hours in {cpu:0.0} s of processor time: {_seeds / cpu:0.0} seeds/s, {_benchSeconds / cpu:0} bench hours per hour of one core");
    }

    /// <summary>The document of <c>--json</c>.</summary>
    public object Json(ulong firstSeed)
    {
        double cpu = CpuSeconds;
        return new
        {
            firstSeed,
            seeds = _seeds,
            benchHours = _benchSeconds / 3600,
            processorSeconds = cpu,
            seedsPerSecond = _seeds / cpu,
            benchHoursPerCoreHour = _benchSeconds / cpu,
            violations = _violations.Select(one => new
            {
                seed = one.Seed,
                invariant = one.Invariant,
                atSeconds = one.AtSeconds,
                what = one.What,
                repeat = one.Repeat,
                smallest = one.Smallest,
            }),
        };
    }

    private double CpuSeconds => Math.Max(1e-3, (Process.GetCurrentProcess().TotalProcessorTime - _began).TotalSeconds);
}
