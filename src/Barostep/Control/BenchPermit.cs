using System.Globalization;
using Barostep.Configuration;
using Barostep.Safety;

namespace Barostep.Control;

/// <summary>Whether a bench may make pressure at all; asked before any port is opened.</summary>
/// <param name="Report">What it could do at worst; null where the figures do not allow it to be computed.</param>
/// <param name="Problems">Everything that stops the budget from being computed.</param>
/// <param name="Attended">What is more than a bench may have that needs somebody present (SR-46); empty where nothing is.</param>
public sealed record BenchPermit(OvershootReport? Report, IReadOnlyList<string> Problems, IReadOnlyList<string> Attended)
{
    private const double DefaultMostGaugePascals = 100_000;

    public bool IsGranted => Report is { Permitted: true } && Attended.Count == 0;

    /// <summary>Computes it for a bench with a device on it.</summary>
    /// <param name="bench">The bench.</param>
    /// <param name="device">The device that is fitted; null for the bare bench.</param>
    /// <param name="origins">Where each figure was written.</param>
    /// <param name="today">The day on which a test is due or not.</param>
    public static BenchPermit For(BenchDefinition bench, DeviceDefinition? device, SourceMap origins, DateOnly today)
    {
        BudgetInputs inputs = BenchBudget.InputsFor(bench, device, origins, today);
        IReadOnlyList<string> problems = OvershootBudget.Problems(inputs);
        if (problems.Count > 0)
            return new BenchPermit(null, problems, []);
        OvershootReport report = OvershootBudget.Evaluate(inputs);
        return new BenchPermit(report, [], TooMuchToAttend(bench, report));
    }

    /// <summary>Why it is not granted, one line each, in the unit of the bench's ceiling; empty where it is.</summary>
    public IReadOnlyList<string> Refusals(BenchDefinition bench)
    {
        string file = SourceMap.FileOf(bench);
        if (Report is not { } report)
            return [.. Problems.Select(problem => $"{file}: the overshoot cannot be computed: {problem}")];
        return [.. report.Refusals(bench.Ceiling.Unit, bench.Ceiling.Reference).Concat(Attended).Select(refusal => $"{file}: {refusal}")];
    }

    /// <summary>What this program can and cannot do on a bench whose pressure a person makes, one sentence each.</summary>
    public static IReadOnlyList<string> WhatAPersonLeaves(BenchDefinition bench, PersonAtPump person)
    {
        ArgumentNullException.ThrowIfNull(bench);
        ArgumentNullException.ThrowIfNull(person);
        string deed = bench.DumpValve is null
            ? "No dump valve is fitted either: where nobody hears, the pressure stays."
            : "The dump valve's relay is the only deed: it opens on a trip, and when this program stops.";
        return
        [
            "SOURCE: a person with a hand pump. This program can neither shut nor vent: it tells the person to, and sounds the alarm.",
            deed,
            string.Create(
                CultureInfo.InvariantCulture,
                $"A vent counts as failed only {person.VentsWithinMicros / 1e6:0} s and three time constants of the release valve after it was asked for; the times below count from hands off the pump."),
        ];
    }

    private static List<string> TooMuchToAttend(BenchDefinition bench, OvershootReport report)
    {
        if (report.AttendedOnlyReasons.Count == 0)
            return [];
        var refusals = new List<string>();
        Pressure atmosphere = BenchLimits.AtmosphereOf(bench);
        Pressure most = bench.Protection.AttendedMostPressure?.ToAbsolute(atmosphere)
            ?? atmosphere + PressureDifference.FromPascals(DefaultMostGaugePascals);
        double joules = bench.Protection.AttendedMostJoules;
        if (report.Inputs.CeilingPascals > most.Pascals)
            refusals.Add($"the ceiling of {InBar(report.Inputs.CeilingPascals, atmosphere)} is above the {InBar(most.Pascals, atmosphere)} of a bench that needs somebody present; {WhatToDo("most_pressure", report)}");
        if (report.StoredEnergyJoules > joules)
            refusals.Add(string.Create(CultureInfo.InvariantCulture, $"at the ceiling the gas holds {report.StoredEnergyJoules:0} J, more than the {joules:0} J of a bench that needs somebody present; {WhatToDo("most_energy", report)}"));
        return refusals;
    }

    private static string WhatToDo(string key, OvershootReport report) =>
        $"it does because {report.AttendedOnlyReasons[0]}; mend that, lower the ceiling or the volume, or let the bench's owner write {key} in [attended]";

    private static string InBar(double pascals, Pressure atmosphere) =>
        string.Create(CultureInfo.InvariantCulture, $"{(pascals - atmosphere.Pascals) / 1e5:0.###} bar gauge");
}
