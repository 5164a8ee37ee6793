using Barostep.Configuration;
using Barostep.Safety;

namespace Barostep.Control;

/// <summary>Whether a bench may make pressure at all; asked before any port is opened.</summary>
/// <param name="Report">What it could do at worst; null where the figures do not allow it to be computed.</param>
/// <param name="Problems">Everything that stops the budget from being computed.</param>
public sealed record BenchPermit(OvershootReport? Report, IReadOnlyList<string> Problems)
{
    public bool IsGranted => Report is { Permitted: true };

    /// <summary>Computes it for a bench with a device on it.</summary>
    /// <param name="bench">The bench.</param>
    /// <param name="device">The device that is fitted; null for the bare bench.</param>
    /// <param name="origins">Where each figure was written.</param>
    /// <param name="today">The day on which a test is due or not.</param>
    public static BenchPermit For(BenchDefinition bench, DeviceDefinition? device, SourceMap origins, DateOnly today)
    {
        BudgetInputs inputs = BenchBudget.InputsFor(bench, device, origins, today);
        IReadOnlyList<string> problems = OvershootBudget.Problems(inputs);
        return new BenchPermit(problems.Count == 0 ? OvershootBudget.Evaluate(inputs) : null, problems);
    }

    /// <summary>Why it is not granted, one line each, in the unit of the bench's ceiling; empty where it is.</summary>
    public IReadOnlyList<string> Refusals(BenchDefinition bench)
    {
        string file = SourceMap.FileOf(bench);
        if (Report is not { } report)
            return [.. Problems.Select(problem => $"{file}: the overshoot cannot be computed: {problem}")];
        return [.. report.Refusals(bench.Ceiling.Unit, bench.Ceiling.Reference).Select(refusal => $"{file}: {refusal}")];
    }
}
