using System.Globalization;

namespace Barostep.Safety;

/// <summary>Writes an overshoot report for a person who audits the limits.</summary>
internal sealed class OvershootText(OvershootReport report, TextWriter writer, PressureUnit unit, PressureReference reference)
{
    private readonly BudgetInputs _inputs = report.Inputs;

    public void Write()
    {
        Verdict();
        Limits();
        Times();
        Worst();
        Rule();
        Hardware();
        Energy();
    }

    public IReadOnlyList<string> Refusals() =>
        [.. report.Clauses.Where(clause => !clause.Holds).Select(Refusal)];

    private void Verdict()
    {
        if (report.Permitted)
        {
            Line(report.AttendedOnlyReasons.Count == 0
                ? "PERMITTED: every clause of the refusal rule holds, and the bench may run with nobody present."
                : "PERMITTED, only with somebody present: every clause of the refusal rule holds.");
        }
        else
        {
            Line($"REFUSED: clause {string.Join(", ", report.Clauses.Where(clause => !clause.Holds).Select(clause => clause.Letter))} of the refusal rule fails. The bench makes no pressure.");
            foreach (string refusal in Refusals())
                Line($"  {refusal}");
        }

        foreach (string reason in report.AttendedOnlyReasons)
            Line($"  somebody must be present: {reason}");
    }

    private string Refusal(RefusalClause clause)
    {
        string figures = string.Join("; ", clause.Comparisons.Where(comparison => !comparison.Holds).Select(Compared));
        string why = (clause.Reason, figures) switch
        {
            ("", _) => figures,
            (_, "") => clause.Reason,
            _ => $"{clause.Reason}: {figures}",
        };
        return $"({clause.Letter}) {clause.FailingPart}: {why}";
    }

    private void Limits()
    {
        Heading("Limits");
        foreach (LimitContribution limit in _inputs.Limits)
            Bound("ceiling", limit.Ceiling, limit, _inputs.CeilingGovernedBy);
        foreach (LimitContribution limit in _inputs.Limits)
            Bound("floor", limit.Floor, limit, _inputs.FloorGovernedBy);
        Heading("Ratings");
        foreach (RatedPart part in _inputs.Parts)
            Line($"  {Shown(part.RatingPascals),-24} {part.Name}, not below {Shown(part.FloorPascals)}  [{part.Source}]");
        Line($"  {Shown(_inputs.SupplyMaximumPascals),-24} the most that the supply can deliver, regulator failed ({_inputs.Gas})");
    }

    private void Bound(string name, Pressure? value, LimitContribution limit, LimitContribution governing)
    {
        if (value is not { } pressure)
            return;
        string mark = ReferenceEquals(limit, governing) ? $"<- {name} in force" : "";
        Line($"  {name,-8} {Shown(pressure.Pascals),-24} {limit.Source}  [{limit.Origin}]  {mark}".TrimEnd());
    }

    private void Times()
    {
        Heading("Times from crossing the ceiling to a shut valve");
        Line($"  one exchange with the reference {Milliseconds(report.ReadSeconds)}, poll period {Milliseconds(report.EffectivePollSeconds)}, stale above {Milliseconds(report.StaleAgeSeconds)}");
        foreach (OvershootPath path in report.Paths)
        {
            if (path.Times.Terms.Count == 0)
            {
                Line($"  {path.Times.Name}: if the computer stops, nothing shuts the valve");
                continue;
            }

            Line($"  {path.Times.Name}:");
            foreach (BudgetTerm term in path.Times.Terms.Where(term => term.Value > 0))
                Line($"    {Milliseconds(term.Value),12}  {term.Name}");
            Line($"    {Milliseconds(path.Times.Total),12}  together");
        }
    }

    private void Worst()
    {
        Heading("Worst pressure after a trip");
        Line($"  The fill raises the pressure by at most {Difference(report.MaximumRatePascalsPerSecond)}/s: {Conductance(_inputs.FillConductance)} from the supply at its worst into {Volume(_inputs.VolumeMinimum)}.");
        foreach (OvershootPath path in report.Paths)
        {
            Line($"  {path.Times.Name}:");
            Line($"    {Shown(_inputs.CeilingPascals),24}  ceiling");
            foreach (BudgetTerm term in Summed(path).Where(term => term.Value != 0))
                Line($"    {Signed(term.Value),24}  {term.Name}");
            Line($"    {"= " + Shown(path.WorstPascals),24}  worst{(path.SupplyLimited ? ", as far as the supply reaches" : "")}");
        }

        Line($"  With the fill stuck open against the open dump the pressure settles at {Shown(report.StuckOpenPascals)}.");
    }

    // The rise lists the filling delay by delay; those are shown above as times, so here they stand as one.
    private static IEnumerable<BudgetTerm> Summed(OvershootPath path)
    {
        int delays = path.Times.Terms.Count;
        if (delays > 0)
        {
            double filled = path.Rise.Terms.Take(delays).Sum(term => term.Value);
            yield return new BudgetTerm($"filling for {Milliseconds(path.Times.Total)}", filled);
        }

        foreach (BudgetTerm term in path.Rise.Terms.Skip(delays))
            yield return term;
    }

    private string Signed(double pascals) => $"{(pascals < 0 ? "-" : "+")} {Difference(Math.Abs(pascals))}";

    private void Rule()
    {
        Heading("Refusal rule");
        foreach (RefusalClause clause in report.Clauses)
        {
            Line($"  ({clause.Letter}) {(clause.Holds ? "holds " : "FAILS ")} {clause.Demand}{(clause.Reason.Length > 0 ? $": {clause.Reason}" : "")}");
            foreach (BudgetComparison comparison in clause.Comparisons)
                Line($"        {Compared(comparison)}");
            for (int i = 0; i < clause.Remedies.Count; i++)
                Line($"        {(i == 0 ? "would help:" : "        or:")} {Named(clause.Remedies[i])}");
        }
    }

    private string Compared(BudgetComparison comparison) =>
        $"{comparison.Smaller.Name} ({Value(comparison.Smaller)}) {Sign(comparison)} {comparison.Larger.Name} ({Value(comparison.Larger)})";

    private static string Sign(BudgetComparison comparison) => (comparison.Holds, comparison.OrEqual) switch
    {
        (true, true) => "is at most",
        (true, false) => "is below",
        (false, true) => "EXCEEDS",
        (false, false) => "IS NOT BELOW",
    };

    private void Hardware()
    {
        Heading("What only independent hardware covers");
        Line("  This program is a supervisor. It does not protect against a fault of its own, of its sensor, or of a valve.");
        Line(_inputs.Relief is { } relief
            ? $"  relief valve {relief.Name}: {Shown(_inputs.AtmospherePascals + relief.SetGaugePascals)} ± {Percent(relief.Tolerance)}, {Conductance(relief.Conductance)}, last test {(relief.LastTest.Length > 0 ? relief.LastTest : "not recorded")}"
            : "  relief valve: none. A fill valve stuck open together with a blocked dump ends at the supply's pressure.");
        Line(_inputs.Switch is { } guard
            ? $"  pressure switch {guard.Name}: {Shown(_inputs.AtmospherePascals + guard.SetGaugePascals)} ± {Percent(guard.Tolerance)}, shuts within {Milliseconds(guard.ResponseSeconds)}"
            : "  pressure switch: none. A sensor that reads low is noticed by comparison of two sensors only.");
        Line(_inputs.KeepAlive is { } relay
            ? $"  keep-alive relay: drops after {Milliseconds(relay.TimeoutSeconds)} of silence, counted {(relay.TimeoutCount == 1 ? "once" : "twice, because a late pulse can extend it")}"
            : "  keep-alive relay: none. If the computer stops, nothing vents the bench.");
        Line(_inputs.PressureSensors >= 2
            ? "  sensors: two, the reference's and the source's own, over a line each. Either one trips; both must agree before pressure is made."
            : "  sensors: ONE. If it reads low, nothing in this program notices; run only with somebody present.");
        Line(_inputs.SupplyMaximumReason.Length > 0
            ? $"  supply: {Shown(_inputs.SupplyMaximumPascals)} at most, because: {_inputs.SupplyMaximumReason}"
            : $"  supply: {Shown(_inputs.SupplyMaximumPascals)} at most, as the bench's file says without a reason; every figure above rests on it.");
    }

    private void Energy()
    {
        Heading("Stored energy and venting");
        Line($"  {Number(report.StoredEnergyJoules)} J of compressed gas at the ceiling in {Volume(_inputs.VolumeMaximum)}");
        Line($"  vent time constant {Number(report.VentTimeConstantSeconds)} s; from the ceiling to 0.1 bar above the atmosphere {Number(report.VentSeconds)} s through {Conductance(_inputs.DumpConductance)}");
    }

    private string Named(BudgetFigure figure) => $"{figure.Name} {Value(figure)}".TrimEnd();

    private string Value(BudgetFigure figure) => figure.Kind switch
    {
        FigureKind.Pressure => Shown(figure.Value),
        FigureKind.Conductance => Conductance(figure.Value),
        FigureKind.Volume => Volume(figure.Value),
        FigureKind.Time => Milliseconds(figure.Value),
        FigureKind.Words => "",
        _ => throw new InvalidOperationException($"Unknown kind of figure {figure.Kind}."),
    };

    private string Shown(double pascals)
    {
        double own = reference == PressureReference.Gauge ? pascals - _inputs.AtmospherePascals : pascals;
        string word = reference == PressureReference.Gauge ? "gauge" : "absolute";
        return $"{Number(own / unit.PascalsAsDouble)} {unit} {word}";
    }

    private string Difference(double pascals) => $"{Number(pascals / unit.PascalsAsDouble)} {unit}";

    private static string Conductance(double value) =>
        string.Create(CultureInfo.InvariantCulture, $"{Number(value * 1e8)} dm³/(s·bar) (an orifice of {RestrictorFlow.OrificeBore(value) * 1000:0.00} mm)");

    private static string Volume(double value) => $"{Number(value * 1000)} L";

    private static string Milliseconds(double seconds) => $"{Number(seconds * 1000)} ms";

    private static string Percent(double share) => $"{Number(share * 100)} %";

    /// <summary>Four significant digits, without an exponent where people would not expect one.</summary>
    private static string Number(double value)
    {
        double size = Math.Abs(value);
        string format = size switch
        {
            0 => "0",
            < 0.001 => "0.###e-0",
            < 0.1 => "0.#####",
            < 1 => "0.####",
            < 10 => "0.###",
            < 100 => "0.##",
            < 1000 => "0.#",
            _ => "0",
        };
        return value.ToString(format, CultureInfo.InvariantCulture);
    }

    private void Heading(string text)
    {
        writer.WriteLine();
        writer.WriteLine(text);
    }

    private void Line(string text) => writer.WriteLine(text);
}
