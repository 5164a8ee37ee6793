using Barostep.Configuration;
using Barostep.Control;
using Barostep.Safety;

namespace Barostep.Daemon.Output;

/// <summary>The overshoot report as a document: SI units, pressures absolute, in members whose names say so.</summary>
internal static class LimitsJson
{
    public static object Of(BenchDefinition bench, DeviceDefinition? device, BenchPermit permit, OvershootReport report) => new
    {
        bench = bench.Name,
        device = device?.Name,
        devices = bench.Mounted.Select(one => new { name = one.Device.Name, input = one.Input.Name }),
        permitted = permit.IsGranted,
        too_much_to_attend = permit.Attended,
        attended_only_because = report.AttendedOnlyReasons,
        source_is_a_person = bench.Person is not null,
        what_a_person_leaves = bench.Person is { } person ? BenchPermit.WhatAPersonLeaves(bench, person) : [],
        pressure_sensors = report.Inputs.PressureSensors,
        atmosphere_pa = report.Inputs.AtmospherePascals,
        ceiling_pa = report.Inputs.CeilingPascals,
        ceiling_from = report.Inputs.CeilingGovernedBy.Source,
        ceiling_origin = report.Inputs.CeilingGovernedBy.Origin,
        floor_pa = report.Inputs.FloorPascals,
        floor_from = report.Inputs.FloorGovernedBy.Source,
        floor_origin = report.Inputs.FloorGovernedBy.Origin,
        limits = report.Inputs.Limits.Select(limit => new
        {
            source = limit.Source,
            ceiling_pa = limit.Ceiling?.Pascals,
            floor_pa = limit.Floor?.Pascals,
            origin = limit.Origin,
        }),
        ratings = report.Inputs.Parts.Select(part => new
        {
            part = part.Name,
            rating_pa = part.RatingPascals,
            floor_pa = part.FloorPascals,
            origin = part.Source,
        }),
        supply_maximum_pa = report.Inputs.SupplyMaximumPascals,
        supply_maximum_reason = report.Inputs.SupplyMaximumReason,
        largest_rate_pa_per_s = report.MaximumRatePascalsPerSecond,
        poll_period_s = report.EffectivePollSeconds,
        stale_age_s = report.StaleAgeSeconds,
        paths = report.Paths.Select(Path),
        stuck_open_pa = report.StuckOpenPascals,
        stored_energy_j = report.StoredEnergyJoules,
        vent_s = report.VentSeconds,
        clauses = report.Clauses.Select(clause => new
        {
            letter = clause.Letter.ToString(),
            demand = clause.Demand,
            holds = clause.Holds,
            reason = clause.Reason,
            failing = clause.FailingPart,
            comparisons = clause.Comparisons.Select(comparison => new
            {
                smaller = Figure(comparison.Smaller),
                larger = Figure(comparison.Larger),
                holds = comparison.Holds,
            }),
            remedies = clause.Remedies.Select(Figure),
        }),
    };

    private static object Path(OvershootPath path) => new
    {
        name = path.Times.Name,
        seconds = path.Times.Terms.Select(term => new { term = term.Name, s = term.Value }),
        total_s = path.Times.Total,
        rise = path.Rise.Terms.Select(term => new { term = term.Name, pa = term.Value }),
        total_rise_pa = path.Rise.Total,
        worst_pa = path.WorstPascals,
        supply_limited = path.SupplyLimited,
    };

    private static object Figure(BudgetFigure figure) => new
    {
        name = figure.Name,
        value = figure.Kind == FigureKind.Words ? (double?)null : figure.Value,
        unit = figure.Kind switch
        {
            FigureKind.Pressure => "Pa absolute",
            FigureKind.Conductance => "m3/(s.Pa)",
            FigureKind.Volume => "m3",
            FigureKind.Time => "s",
            FigureKind.Words => "",
            _ => throw new InvalidOperationException($"Unknown kind of figure {figure.Kind}."),
        },
    };
}
