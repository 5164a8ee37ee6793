namespace Barostep.Safety;

/// <summary>One term of a sum.</summary>
/// <param name="Name">What it stands for.</param>
/// <param name="Value">In the unit of its sum.</param>
public sealed record BudgetTerm(string Name, double Value);

/// <summary>A sum that shows its terms; the total is their sum and nothing else.</summary>
/// <param name="Name">What is summed.</param>
/// <param name="Unit">SI unit of every term.</param>
/// <param name="Terms">In the order in which they happen.</param>
public sealed record BudgetSum(string Name, string Unit, IReadOnlyList<BudgetTerm> Terms)
{
    public double Total => Terms.Sum(term => term.Value);
}

/// <summary>What notices that the ceiling was crossed.</summary>
public enum TripPath
{
    /// <summary>A reading at or above the ceiling arrives.</summary>
    Level,

    /// <summary>Readings stop arriving just below the ceiling.</summary>
    Stale,

    /// <summary>The computer stops just below the ceiling and the relay's keep-alive runs out.</summary>
    KeepAlive,
}

/// <summary>The worst that one path allows.</summary>
/// <param name="Path">What notices.</param>
/// <param name="Times">Every delay from the crossing to a shut valve, s.</param>
/// <param name="Rise">Every contribution to the pressure above the ceiling, Pa.</param>
/// <param name="WorstPascals">Ceiling plus rise, Pa absolute.</param>
/// <param name="SupplyLimited">Whether the supply runs out of pressure before the delays do.</param>
public sealed record OvershootPath(TripPath Path, BudgetSum Times, BudgetSum Rise, double WorstPascals, bool SupplyLimited);

/// <summary>What a figure of a clause measures, and so how it is shown.</summary>
public enum FigureKind
{
    /// <summary>Pa absolute.</summary>
    Pressure,

    /// <summary>m³/(s·Pa).</summary>
    Conductance,

    /// <summary>m³.</summary>
    Volume,

    /// <summary>s.</summary>
    Time,

    /// <summary>Words only; the value is 0.</summary>
    Words,
}

/// <summary>A named figure, in the SI unit of its kind.</summary>
public sealed record BudgetFigure(string Name, double Value, FigureKind Kind);

/// <summary>One comparison that a clause makes.</summary>
/// <param name="Smaller">What must be the smaller.</param>
/// <param name="Larger">What must be the larger.</param>
/// <param name="OrEqual">Whether equality is good enough.</param>
public sealed record BudgetComparison(BudgetFigure Smaller, BudgetFigure Larger, bool OrEqual)
{
    public bool Holds => OrEqual ? Smaller.Value <= Larger.Value : Smaller.Value < Larger.Value;
}

/// <summary>One clause of the rule by which arming is refused.</summary>
/// <param name="Letter">a to f.</param>
/// <param name="Demand">What it demands, in words.</param>
/// <param name="Comparisons">The figures compared; empty where the clause does not apply or cannot be met.</param>
/// <param name="Holds">Whether it is met.</param>
/// <param name="Reason">Why it is met or not, where the comparisons alone do not say it; else empty.</param>
/// <param name="FailingPart">The parts or devices that fail it; empty where it holds.</param>
/// <param name="Remedies">What would make it hold; a figure that names a limit does so by itself. Empty where it holds.</param>
public sealed record RefusalClause(
    char Letter,
    string Demand,
    IReadOnlyList<BudgetComparison> Comparisons,
    bool Holds,
    string Reason,
    string FailingPart,
    IReadOnlyList<BudgetFigure> Remedies);

/// <summary>What a bench could do at worst, and whether it may be armed.</summary>
public sealed record OvershootReport
{
    public required BudgetInputs Inputs { get; init; }

    /// <summary>Largest rate at which the fill can raise the smallest volume, Pa/s.</summary>
    public required double MaximumRatePascalsPerSecond { get; init; }

    /// <summary>Poll period after allowing for the messages that a cycle must carry, s.</summary>
    public required double EffectivePollSeconds { get; init; }

    /// <summary>One exchange with the reference, s.</summary>
    public required double ReadSeconds { get; init; }

    /// <summary>The command that shuts the fill, s.</summary>
    public required double CommandSeconds { get; init; }

    /// <summary>Age, from the sending of the request, above which a reading is stale, s.</summary>
    public required double StaleAgeSeconds { get; init; }

    /// <summary>Rise by the gas between the shut valve and the restrictor, Pa.</summary>
    public required double TrappedRisePascals { get; init; }

    /// <summary>Fall below the floor by a vacuum pump before it is shut off, Pa.</summary>
    public required double VacuumFallPascals { get; init; }

    public required OvershootPath Level { get; init; }

    public required OvershootPath Stale { get; init; }

    /// <summary>Without a relay this path ends only at the supply's pressure.</summary>
    public required OvershootPath KeepAlive { get; init; }

    /// <summary>Steady pressure with the fill stuck open against the open dump, Pa absolute.</summary>
    public required double StuckOpenPascals { get; init; }

    /// <summary>Time constant of the dump at the largest volume, s.</summary>
    public required double VentTimeConstantSeconds { get; init; }

    /// <summary>From the ceiling to 0.1 bar above the atmosphere through the dump at the largest volume, s.</summary>
    public required double VentSeconds { get; init; }

    /// <summary>Energy of the gas at the ceiling in the largest volume, isentropic to the atmosphere, J.</summary>
    public required double StoredEnergyJoules { get; init; }

    /// <summary>Clauses a to e of the ladder of pressures, and f: that the reference can be polled as fast as stated.</summary>
    public required IReadOnlyList<RefusalClause> Clauses { get; init; }

    /// <summary>Why the bench may run only with somebody present; empty where it may run by itself.</summary>
    public required IReadOnlyList<string> AttendedOnlyReasons { get; init; }

    /// <summary>Whether the bench may be armed at all.</summary>
    public bool Permitted => Clauses.All(clause => clause.Holds);

    public IReadOnlyList<OvershootPath> Paths => [Level, Stale, KeepAlive];

    /// <summary>Why the bench is refused, one sentence for each clause that fails, with the figures and what would help.</summary>
    public IReadOnlyList<string> Refusals(PressureUnit unit, PressureReference reference) =>
        new OvershootText(this, TextWriter.Null, unit, reference).Refusals();

    /// <summary>Writes the report for a person, pressures in one unit and counted from vacuum or from the atmosphere.</summary>
    public void Write(TextWriter writer, PressureUnit unit, PressureReference reference) =>
        new OvershootText(this, writer, unit, reference).Write();
}
