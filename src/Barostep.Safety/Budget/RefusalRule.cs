namespace Barostep.Safety;

/// <summary>The rule by which arming is refused: a ladder of pressures that must not cross, clause by clause.</summary>
internal static class RefusalRule
{
    // Full lift at 110 % of the set pressure: the usual accumulation of a relief valve, trade practice.
    private const double FullLift = 1.10;

    public static IReadOnlyList<RefusalClause> Clauses(OvershootReport report)
    {
        OvershootPath software = report.Level.WorstPascals >= report.Stale.WorstPascals ? report.Level : report.Stale;
        return
        [
            Ratings('a', "with the guard alive, no part sees more than its rating", report, software),
            Ratings('b', "with the computer dead, no part sees more than its rating", report, report.KeepAlive),
            Relief(report),
            Ladder(report, software),
            Ends(report),
            Poll(report),
        ];
    }

    private static RefusalClause Ratings(char letter, string demand, OvershootReport report, OvershootPath path)
    {
        BudgetInputs inputs = report.Inputs;
        RatedPart weakest = inputs.Parts.MinBy(part => part.RatingPascals)!;
        BudgetComparison comparison = new(
            Figure($"worst pressure, {path.Times.Name}", path.WorstPascals),
            Figure($"rating of {weakest.Name}", weakest.RatingPascals),
            OrEqual: true);
        string failing = string.Join(", ", inputs.Parts.Where(part => part.RatingPascals < path.WorstPascals).Select(part => part.Name));
        return Clause(letter, demand, [comparison], failing, RatingRemedies(report, path, weakest.RatingPascals));
    }

    private static List<BudgetFigure> RatingRemedies(OvershootReport report, OvershootPath path, double rating)
    {
        BudgetInputs inputs = report.Inputs;
        double margin = rating - inputs.CeilingPascals - inputs.ReferenceUncertaintyPascals;
        List<BudgetFigure> remedies = [];
        if (path.Times.Terms.Count == 0)
            remedies.Add(Words("a keep-alive relay that isolates and dumps by itself, with a restrictor that suits its time-out"));
        double conductance = OvershootBudget.LargestConductance(report, path, rating - inputs.CeilingPascals);
        if (conductance > 0 && double.IsFinite(conductance))
            remedies.Add(new("a restrictor in the fill of at most", conductance, FigureKind.Conductance));
        if (margin > 0 && path.Times.Terms.Count > 0)
            remedies.Add(new("a smallest volume of at least", VolumeFor(report, path, margin), FigureKind.Volume));
        double ceiling = CeilingFor(report, path, rating);
        if (ceiling > inputs.AtmospherePascals)
            remedies.Add(Figure("a ceiling of at most", ceiling));
        double supply = rating - inputs.ReferenceUncertaintyPascals;
        if (supply > inputs.CeilingPascals)
            remedies.Add(Figure("a supply that cannot deliver more than", supply));
        remedies.Add(Figure("parts rated for at least", path.WorstPascals));
        return remedies;
    }

    // The trapped share V_t/(V+V_t) is taken as V_t/V, so that the volume named is a little too large rather than too small.
    private static double VolumeFor(OvershootReport report, OvershootPath path, double margin)
    {
        BudgetInputs inputs = report.Inputs;
        double filled = report.MaximumRatePascalsPerSecond * inputs.VolumeMinimum * path.Times.Total;
        return (filled + ((inputs.SupplyMaximumPascals - inputs.CeilingPascals) * inputs.TrappedVolume)) / margin;
    }

    // A lower ceiling leaves more pressure behind the restrictor: P·(1−f) + r·T + p_s·f + U = rating, f the trapped share.
    private static double CeilingFor(OvershootReport report, OvershootPath path, double rating)
    {
        if (path.Times.Terms.Count == 0)
            return 0;
        BudgetInputs inputs = report.Inputs;
        double share = inputs.TrappedVolume / (inputs.VolumeMinimum + inputs.TrappedVolume);
        double filled = report.MaximumRatePascalsPerSecond * path.Times.Total;
        return (rating - filled - (inputs.SupplyMaximumPascals * share) - inputs.ReferenceUncertaintyPascals) / (1 - share);
    }

    private static RefusalClause Relief(OvershootReport report)
    {
        const string demand = "the relief valve is fully open below every rating and passes all that the supply can deliver";
        BudgetInputs inputs = report.Inputs;
        RatedPart weakest = inputs.Parts.MinBy(part => part.RatingPascals)!;
        if (inputs.SupplyCannotExceedRatings)
        {
            BudgetComparison safe = new(
                Figure("supply at its worst", inputs.SupplyMaximumPascals), Figure($"rating of {weakest.Name}", weakest.RatingPascals), OrEqual: true);
            return new RefusalClause('c', demand, [safe], Holds: true, "not needed: the supply cannot exceed any rating", "", []);
        }

        if (inputs.Relief is not { } relief)
        {
            return new RefusalClause('c', demand, [], Holds: false, "no relief valve is fitted, and the supply can exceed a rating", weakest.Name,
            [
                Figure("a relief valve that is fully open at or below", weakest.RatingPascals),
                Figure("a supply that cannot deliver more than", weakest.RatingPascals),
            ]);
        }

        double fullLift = HighestAtmosphere(inputs) + (relief.SetGaugePascals * (1 + relief.Tolerance) * FullLift);
        double needed = NeededConductance(inputs, relief);
        BudgetComparison rating = new(
            Figure($"relief valve {relief.Name} fully open", fullLift), Figure($"rating of {weakest.Name}", weakest.RatingPascals), OrEqual: true);
        BudgetComparison capacity = new(
            new("conductance that the full fill needs", needed, FigureKind.Conductance),
            new($"conductance of {relief.Name}", relief.Conductance, FigureKind.Conductance),
            OrEqual: true);
        List<string> failing = [.. inputs.Parts.Where(part => part.RatingPascals < fullLift).Select(part => part.Name)];
        List<BudgetFigure> remedies = [];
        if (!rating.Holds)
        {
            double set = (weakest.RatingPascals - HighestAtmosphere(inputs)) / ((1 + relief.Tolerance) * FullLift);
            remedies.Add(Figure("a relief valve set at or below", inputs.AtmospherePascals + set));
        }

        if (!capacity.Holds)
        {
            failing.Add(relief.Name);
            remedies.Add(new("a relief valve with a conductance of at least", needed, FigureKind.Conductance));
        }

        remedies.Add(Figure("a supply that cannot deliver more than", weakest.RatingPascals));
        return Clause('c', demand, [rating, capacity], string.Join(", ", failing), remedies);
    }

    // The critical ratio of a relief valve is seldom known; 0 gives it the least flow that ISO 6358 allows.
    private static double NeededConductance(BudgetInputs inputs, ReliefValve relief)
    {
        double relieving = HighestAtmosphere(inputs) + (relief.SetGaugePascals * (1 - relief.Tolerance) * FullLift);
        double share = RestrictorFlow.Fraction(HighestAtmosphere(inputs) / relieving, criticalRatio: 0);
        return inputs.FillConductance * inputs.SupplyMaximumPascals / (relieving * share);
    }

    private static RefusalClause Ladder(OvershootReport report, OvershootPath software)
    {
        const string demand = "guard, pressure switch and relief valve act one after the other, never crossing";
        BudgetInputs inputs = report.Inputs;
        if (inputs.Switch is null && inputs.Relief is null)
            return new RefusalClause('d', demand, [], Holds: true, "nothing to cross: neither a switch nor a relief valve is fitted", "", []);

        List<BudgetComparison> rungs = [];
        List<string> failing = [];
        List<BudgetFigure> remedies = [];
        BudgetFigure below = Figure($"worst pressure, {software.Times.Name}", software.WorstPascals);
        if (inputs.Switch is { } guard)
        {
            double acts = LowestAtmosphere(inputs) + (guard.SetGaugePascals * (1 - guard.Tolerance));
            Rung(below, Figure($"pressure switch {guard.Name} at its lowest", acts), guard.Name, "a pressure switch that acts above");
            double latest = HighestAtmosphere(inputs) + (guard.SetGaugePascals * (1 + guard.Tolerance));
            double rise = OvershootBudget.HardWiredRise(report, latest, guard.ResponseSeconds);
            below = Figure($"pressure switch {guard.Name} at its highest, and the rise until the valve is shut", latest + rise);
        }

        if (inputs.Relief is { } relief)
        {
            double opens = LowestAtmosphere(inputs) + (relief.SetGaugePascals * (1 - relief.Tolerance));
            Rung(below, Figure($"relief valve {relief.Name} at its lowest", opens), relief.Name, "a relief valve that opens above");
        }

        return Clause('d', demand, rungs, string.Join(", ", failing), remedies);

        void Rung(BudgetFigure lower, BudgetFigure upper, string name, string remedy)
        {
            BudgetComparison rung = new(lower, upper, OrEqual: false);
            rungs.Add(rung);
            if (rung.Holds)
                return;
            failing.Add(name);
            remedies.AddRange(RungRemedies(report, software, rung, remedy));
        }
    }

    private static IEnumerable<BudgetFigure> RungRemedies(OvershootReport report, OvershootPath software, BudgetComparison rung, string remedy)
    {
        BudgetInputs inputs = report.Inputs;
        if (rung.Smaller.Value < inputs.Parts.Min(part => part.RatingPascals))
            yield return Figure($"{remedy} (and what stands above it moved up likewise)", rung.Smaller.Value);
        // Only the first rung begins with the software's worst pressure; above it the switch's own response counts.
        double conductance = rung.Smaller.Value == software.WorstPascals
            ? OvershootBudget.LargestConductance(report, software, rung.Larger.Value - inputs.CeilingPascals)
            : 0;
        yield return conductance > 0
            ? new BudgetFigure("a restrictor in the fill below", conductance, FigureKind.Conductance)
            : Words("a tighter restrictor in the fill, or a lower ceiling");
    }

    private static RefusalClause Ends(OvershootReport report)
    {
        BudgetInputs inputs = report.Inputs;
        RatedPart tender = inputs.Parts.MaxBy(part => part.FloorPascals)!;
        BudgetComparison top = new(
            Figure("highest set point and the controller's own overshoot", inputs.SetPointMaximumPascals + inputs.ControlMarginPascals),
            Figure($"ceiling, from {inputs.CeilingGovernedBy.Source}", inputs.CeilingPascals),
            OrEqual: false);
        BudgetComparison bottom = new(
            Figure($"lowest pressure that {tender.Name} may see", tender.FloorPascals), LowestPressure(report), OrEqual: true);
        List<string> failing = [];
        List<BudgetFigure> remedies = [];
        if (!top.Holds)
        {
            failing.Add("set points");
            remedies.Add(Figure("set points below", inputs.CeilingPascals - inputs.ControlMarginPascals));
        }

        if (!bottom.Holds)
        {
            failing.Add(tender.Name);
            remedies.Add(Figure("a floor of at least", tender.FloorPascals + report.VacuumFallPascals));
            remedies.Add(Words("a tighter restrictor towards the pump"));
        }

        return Clause('e', "set points stay clear of the ceiling, and no part sees less than it stands", [top, bottom], string.Join(", ", failing), remedies);
    }

    // Without a pump the dump leads to the atmosphere, and the pressure cannot fall below it.
    private static BudgetFigure LowestPressure(OvershootReport report)
    {
        BudgetInputs inputs = report.Inputs;
        return inputs.VacuumConductance == 0
            ? Figure("lowest atmosphere; no pump is fitted", LowestAtmosphere(inputs))
            : Figure("floor, less the fall until the pump is shut off", inputs.FloorPascals - report.VacuumFallPascals);
    }

    private static RefusalClause Poll(OvershootReport report)
    {
        BudgetFigure effective = new("poll period that the line allows", report.EffectivePollSeconds, FigureKind.Time);
        BudgetComparison kept = new(effective, new("poll period stated", report.Inputs.Timing.PollPeriodSeconds, FigureKind.Time), OrEqual: true);
        BudgetComparison fast = new(effective, new("slowest poll permitted", OvershootBudget.SlowestPollSeconds, FigureKind.Time), OrEqual: true);
        return Clause('f', "the reference is read as often as stated, 20 times a second or oftener", [kept, fast], kept.Holds && fast.Holds ? "" : "line to the reference",
        [
            Words("a faster line, shorter messages, or a line adapter with less latency (its setting is often 16 ms and can be 1 ms)"),
        ]);
    }

    private static RefusalClause Clause(
        char letter, string demand, IReadOnlyList<BudgetComparison> comparisons, string failing, IReadOnlyList<BudgetFigure> remedies)
    {
        bool holds = comparisons.All(comparison => comparison.Holds);
        return new RefusalClause(letter, demand, comparisons, holds, "", holds ? "" : failing, holds ? [] : remedies);
    }

    private static BudgetFigure Figure(string name, double pascals) => new(name, pascals, FigureKind.Pressure);

    private static BudgetFigure Words(string text) => new(text, 0, FigureKind.Words);

    private static double LowestAtmosphere(BudgetInputs inputs) => inputs.AtmospherePascals - inputs.AtmosphereSpreadPascals;

    private static double HighestAtmosphere(BudgetInputs inputs) => inputs.AtmospherePascals + inputs.AtmosphereSpreadPascals;
}
