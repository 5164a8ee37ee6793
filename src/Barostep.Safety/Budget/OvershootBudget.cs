namespace Barostep.Safety;

/// <summary>Largest fill conductances, m³/(s·Pa), that keep each path within a margin; infinite where the supply itself does.</summary>
public sealed record ConductanceAllowance(double Level, double Stale, double KeepAlive)
{
    /// <summary>The one that keeps all three.</summary>
    public double Smallest => Math.Min(Math.Min(Level, Stale), KeepAlive);
}

/// <summary>How far the pressure can pass the ceiling at worst, and whether a bench may be armed.</summary>
/// <remarks>
/// Choked flow through the fill is the largest at a given supply, and no heat leaves the gas, so
/// r_max = F·1.4·C·p_s·(ρ₀RT₀)·√(T_s/T₀)/V_min bounds the rate at every pressure. A first-order lag reads low under a ramp
/// by no more than the rate times its time constant. Every delay counts in full because the worst phases can meet.
/// Bounds: lumped volume, ideal gas, no waves in the line, no heat from a hot supply. Not for liquids.
/// </remarks>
public static class OvershootBudget
{
    /// <summary>Lowest poll rate at which a bench may be energised: 20 per second.</summary>
    public const double SlowestPollSeconds = 0.050;

    private const double VentedGaugePascals = 10_000;

    /// <summary>Everything that stops the budget from being computed, one sentence each; empty where nothing does.</summary>
    public static IReadOnlyList<string> Problems(BudgetInputs inputs) => BudgetInputsCheck.Problems(inputs);

    /// <summary>Computes the budget and the verdict.</summary>
    /// <exception cref="ArgumentException">There are <see cref="Problems"/>.</exception>
    public static OvershootReport Evaluate(BudgetInputs inputs)
    {
        IReadOnlyList<string> problems = Problems(inputs);
        if (problems.Count > 0)
            throw new ArgumentException(string.Join("; ", problems), nameof(inputs));

        FillGas gas = FillGas.Find(inputs.Gas, out _)!;
        TripDelays delays = new(inputs.Timing);
        double rate = RatePerConductance(inputs, gas) * inputs.FillConductance;
        double ventTimeConstant = inputs.VolumeMaximum / (inputs.DumpConductance * FillGas.ReferencePascals * gas.VolumeFactor);
        OvershootPath level = Path(inputs, TripPath.Level, delays.Level(), rate);
        OvershootPath stale = Path(inputs, TripPath.Stale, delays.Stale(), rate);
        OvershootReport report = new()
        {
            Inputs = inputs,
            MaximumRatePascalsPerSecond = rate,
            EffectivePollSeconds = delays.EffectivePoll,
            ReadSeconds = delays.Read,
            CommandSeconds = delays.Command,
            StaleAgeSeconds = delays.StaleAge,
            TrappedRisePascals = TrappedRise(inputs),
            VacuumFallPascals = VacuumFall(inputs, gas, Math.Max(level.Times.Total, stale.Times.Total)),
            Level = level,
            Stale = stale,
            KeepAlive = inputs.KeepAlive is null
                ? NothingStops(inputs)
                : Path(inputs, TripPath.KeepAlive, delays.KeepAlive(inputs.KeepAlive), rate),
            StuckOpenPascals = RestrictorFlow.Equilibrium(
                inputs.FillConductance, inputs.FillCriticalRatio, inputs.SupplyMaximumPascals,
                inputs.DumpConductance, inputs.DumpCriticalRatio, inputs.AtmospherePascals),
            VentTimeConstantSeconds = ventTimeConstant,
            VentSeconds = VentSeconds(inputs, ventTimeConstant),
            StoredEnergyJoules = StoredEnergy(inputs.VolumeMaximum, inputs.CeilingPascals, inputs.AtmospherePascals, gas.HeatRatio),
            Clauses = [],
            AttendedOnlyReasons = AttendedOnlyReasons(inputs),
        };
        return report with { Clauses = RefusalRule.Clauses(report) };
    }

    /// <summary>Largest fill conductance with which the pressure stays within a margin above the ceiling.</summary>
    public static ConductanceAllowance LargestConductance(BudgetInputs inputs, double marginPascals)
    {
        OvershootReport report = Evaluate(inputs);
        return new ConductanceAllowance(
            LargestConductance(report, report.Level, marginPascals),
            LargestConductance(report, report.Stale, marginPascals),
            LargestConductance(report, report.KeepAlive, marginPascals));
    }

    /// <summary>The fastest rise that a fill can make, wide open, at the smallest volume, Pa/s: r_max of the class's remarks.</summary>
    /// <param name="gas">The gas's name.</param>
    /// <param name="supplyPascals">Highest pressure of the supply, absolute.</param>
    /// <param name="supplyKelvin">Its temperature at most.</param>
    /// <param name="fillConductance">Sonic conductance of all fill paths together, m³/(s·Pa).</param>
    /// <param name="volumeMinimum">The smallest volume, m³.</param>
    /// <returns>0 for a gas that is not filled with.</returns>
    public static double FastestFill(string gas, double supplyPascals, double supplyKelvin, double fillConductance, double volumeMinimum) =>
        FillGas.Find(gas, out _) is { } known ? RatePerConductance(known, supplyPascals, supplyKelvin, volumeMinimum) * fillConductance : 0;

    /// <summary>Energy in joules that a volume of gas gives off when it expands to the atmosphere without heat exchange.</summary>
    /// <remarks>PV/(κ−1)·(1 − (p_a/P)^((κ−1)/κ)).</remarks>
    public static double StoredEnergy(double volume, double pressure, double atmosphere, double heatRatio = FillGas.AirHeatRatio) =>
        pressure <= atmosphere
            ? 0
            : pressure * volume / (heatRatio - 1) * (1 - Math.Pow(atmosphere / pressure, (heatRatio - 1) / heatRatio));

    /// <summary>The largest fill conductance for one path; 0 where even a shut fill would not do.</summary>
    internal static double LargestConductance(OvershootReport report, OvershootPath path, double marginPascals)
    {
        BudgetInputs inputs = report.Inputs;
        double left = marginPascals - inputs.ReferenceUncertaintyPascals;
        if (left >= inputs.SupplyMaximumPascals - inputs.CeilingPascals)
            return double.PositiveInfinity;
        if (path.Times.Terms.Count == 0)
            return 0;
        double ratePerConductance = RatePerConductance(inputs, FillGas.Find(inputs.Gas, out _)!);
        return Math.Max(0, (left - report.TrappedRisePascals) / (ratePerConductance * path.Times.Total));
    }

    /// <summary>Rise while a hard-wired device that responds in <paramref name="seconds"/> shuts the fill, Pa.</summary>
    internal static double HardWiredRise(OvershootReport report, double fromPascals, double seconds)
    {
        BudgetInputs inputs = report.Inputs;
        double untilSupply = Math.Max(0, inputs.SupplyMaximumPascals - fromPascals);
        return Math.Min(untilSupply, (report.MaximumRatePascalsPerSecond * seconds) + TrappedRise(inputs));
    }

    private static double RatePerConductance(BudgetInputs inputs, FillGas gas) =>
        RatePerConductance(gas, inputs.SupplyMaximumPascals, inputs.SupplyTemperatureKelvin, inputs.VolumeMinimum);

    private static double RatePerConductance(FillGas gas, double supplyPascals, double supplyKelvin, double volumeMinimum) =>
        gas.RateFactor * FillGas.AirHeatRatio * supplyPascals * FillGas.ReferencePascals
        * Math.Sqrt(supplyKelvin / FillGas.ReferenceTemperatureKelvin) / volumeMinimum;

    // Exact for an ideal gas, with or without heat exchange.
    private static double TrappedRise(BudgetInputs inputs) =>
        Math.Max(0, inputs.SupplyMaximumPascals - inputs.CeilingPascals)
        * inputs.TrappedVolume / (inputs.VolumeMinimum + inputs.TrappedVolume);

    private static OvershootPath Path(BudgetInputs inputs, TripPath path, BudgetSum times, double rate)
    {
        List<BudgetTerm> terms = [.. times.Terms.Select(time => new BudgetTerm($"filling during: {time.Name}", rate * time.Value))];
        terms.Add(new BudgetTerm("gas trapped between valve and restrictor", TrappedRise(inputs)));
        double untilSupply = Math.Max(0, inputs.SupplyMaximumPascals - inputs.CeilingPascals);
        double unlimited = terms.Sum(term => term.Value);
        bool supplyLimited = unlimited > untilSupply;
        if (supplyLimited)
            terms.Add(new BudgetTerm("less what the supply cannot deliver", untilSupply - unlimited));
        terms.Add(ReferenceUncertainty(inputs));
        return Path(inputs, path, times, terms, supplyLimited);
    }

    private static OvershootPath NothingStops(BudgetInputs inputs)
    {
        double untilSupply = Math.Max(0, inputs.SupplyMaximumPascals - inputs.CeilingPascals);
        List<BudgetTerm> terms = [new BudgetTerm("up to the supply: nothing stops the fill", untilSupply), ReferenceUncertainty(inputs)];
        return Path(inputs, TripPath.KeepAlive, new BudgetSum("no keep-alive relay is fitted", "s", []), terms, supplyLimited: true);
    }

    private static OvershootPath Path(BudgetInputs inputs, TripPath path, BudgetSum times, List<BudgetTerm> terms, bool supplyLimited)
    {
        BudgetSum rise = new($"rise above the ceiling, {times.Name}", "Pa", terms);
        return new OvershootPath(path, times, rise, inputs.CeilingPascals + rise.Total, supplyLimited);
    }

    private static BudgetTerm ReferenceUncertainty(BudgetInputs inputs) =>
        new("uncertainty of the reference", inputs.ReferenceUncertaintyPascals);

    // Pumping slows as the pressure falls, so the rate at the floor bounds what follows.
    private static double VacuumFall(BudgetInputs inputs, FillGas gas, double seconds)
    {
        if (inputs.VacuumConductance == 0)
            return 0;
        double rate = gas.RateFactor * FillGas.AirHeatRatio * inputs.VacuumConductance * inputs.FloorPascals
            * FillGas.ReferencePascals / inputs.VolumeMinimum;
        return Math.Min(inputs.FloorPascals, rate * seconds) + inputs.ReferenceUncertaintyPascals;
    }

    private static double VentSeconds(BudgetInputs inputs, double timeConstant) =>
        timeConstant * RestrictorFlow.VentTimeConstants(
            inputs.CeilingPascals,
            inputs.AtmospherePascals + VentedGaugePascals,
            inputs.AtmospherePascals,
            inputs.DumpCriticalRatio);

    private static List<string> AttendedOnlyReasons(BudgetInputs inputs)
    {
        List<string> reasons = [];
        if (inputs.KeepAlive is null)
            reasons.Add("no keep-alive relay is fitted: if the computer stops, nothing vents the bench");
        if (inputs.Relief is null && !inputs.SupplyCannotExceedRatings)
            reasons.Add("no relief valve is fitted, and the supply can exceed a rating");
        if (inputs.Relief is { LastTest: "" } untested)
            reasons.Add($"relief valve {untested.Name} has no recorded test");
        if (inputs.Relief is { TestIsOverdue: true } overdue)
            reasons.Add($"the test of relief valve {overdue.Name}, last made on {overdue.LastTest}, is overdue");
        if (inputs.PressureSensors < 2)
            reasons.Add("only one sensor tells the pressure: if it reads low, nothing here notices");
        if (!inputs.UnattendedAllowed)
            reasons.Add("the owner of the bench does not allow it otherwise ([unattended] allowed)");
        return reasons;
    }
}
