using Barostep.Simulators.Instruments;

namespace Barostep.Daemon.Simulation.Faults;

/// <summary>Draws the faults of a seed.</summary>
internal static class FaultDraw
{
    private const long LatestMicros = 50_000_000;

    private const int Durations = 5;

    /// <summary>A prime that divides no number of cells that this table can have.</summary>
    private const ulong Stride = 1_000_003;

    private static readonly BenchState[] States = Enum.GetValues<BenchState>();
    private static readonly FaultMoment[] Moments = Enum.GetValues<FaultMoment>();

    /// <summary>
    /// The swarm: each kind is switched off for this seed with a probability of a half, and what is left is weighted
    /// wildly, so that faults do not mask one another in the same way each time.
    /// </summary>
    /// <param name="seed">The seed.</param>
    /// <param name="among">The kinds that may be drawn.</param>
    public static IReadOnlyList<PlannedFault> Swarm(ulong seed, IReadOnlyList<FaultKind> among)
    {
        var random = new Pcg32(seed, 3);
        double[] weights = [.. among.Select(_ => random.NextBelow(2) == 0 && among.Count > 1 ? 0 : Math.Pow(10, 3 * random.NextUnit()))];
        // One in eight worlds is healthy, and most have few faults.
        int count = random.NextBelow(8) switch
        {
            0 => 0,
            < 4 => 1,
            < 6 => 2,
            6 => 3,
            _ => 4 + random.NextBelow(4),
        };
        double sum = weights.Sum();
        if (sum == 0)
            return [];
        return [.. Enumerable.Range(0, count).Select(_ => Draw(among[Pick(weights, sum, random)], random))];
    }

    /// <summary>One cell of the matrix of single faults, all of them in a row.</summary>
    public static int Cells => FaultCatalogue.All.Sum(kind => kind.Sizes.Count) * States.Length * Moments.Length * Durations;

    /// <summary>The cell that a seed takes: neighbours are far apart, and every cell comes once before any comes again.</summary>
    public static int CellOf(ulong seed) => (int)(seed % (ulong)Cells * Stride % (ulong)Cells);

    /// <summary>The fault of one cell.</summary>
    /// <param name="cell">From 0 to <see cref="Cells"/>.</param>
    public static PlannedFault Cell(int cell)
    {
        int duration = cell % Durations;
        cell /= Durations;
        FaultMoment moment = Moments[cell % Moments.Length];
        cell /= Moments.Length;
        BenchState state = States[cell % States.Length];
        cell /= States.Length;
        foreach (FaultKind kind in FaultCatalogue.All)
        {
            if (cell < kind.Sizes.Count)
                return new PlannedFault(kind, cell, FaultTime.In(state, moment), DurationOf(kind, duration));
            cell -= kind.Sizes.Count;
        }

        throw new ArgumentOutOfRangeException(nameof(cell));
    }

    /// <summary>Pairs of kinds, a kind with itself among them.</summary>
    public static int KindPairs => FaultCatalogue.All.Count * (FaultCatalogue.All.Count + 1) / 2;

    /// <summary>
    /// Two faults: every pair of kinds comes once before any comes again, and sizes, states, moments and durations are
    /// drawn. In half of the pairs both begin in the same state, so that they meet; in the others the second falls where it may.
    /// </summary>
    public static IReadOnlyList<PlannedFault> Pair(ulong seed)
    {
        var random = new Pcg32(seed, 4);
        (FaultKind one, FaultKind other) = KindsOf((int)(seed % (ulong)KindPairs * Stride % (ulong)KindPairs));
        if (random.NextBelow(2) == 0)
            (one, other) = (other, one);
        BenchState state = States[random.NextBelow(States.Length)];
        FaultTime second = random.NextBelow(2) == 0 ? FaultTime.In(state, Moments[random.NextBelow(Moments.Length)]) : TimeOf(random);
        return [Draw(one, FaultTime.In(state, Moments[random.NextBelow(Moments.Length)]), random), Draw(other, second, random)];
    }

    /// <summary>The pair of kinds at a place in the half of the table that lies on and above its diagonal.</summary>
    private static (FaultKind One, FaultKind Other) KindsOf(int place)
    {
        int row = 0;
        for (int inRow = FaultCatalogue.All.Count; place >= inRow; inRow--)
        {
            place -= inRow;
            row++;
        }

        return (FaultCatalogue.All[row], FaultCatalogue.All[row + place]);
    }

    private static FaultTime TimeOf(Pcg32 random) => random.NextBelow(3) == 0
        ? FaultTime.At(random.NextBelow((int)LatestMicros))
        : FaultTime.In(States[random.NextBelow(States.Length)], Moments[random.NextBelow(Moments.Length)]);

    private static PlannedFault Draw(FaultKind kind, Pcg32 random) => Draw(kind, TimeOf(random), random);

    private static PlannedFault Draw(FaultKind kind, FaultTime when, Pcg32 random) =>
        new(kind, random.NextBelow(kind.Sizes.Count), when, DurationOf(kind, random.NextBelow(Durations)));

    private static long DurationOf(FaultKind kind, int duration) => duration switch
    {
        0 => 50_000,
        1 => kind.LimitMicros * 9 / 10,
        2 => kind.LimitMicros * 5 / 4,
        3 => 10_000_000,
        _ => PlannedFault.Forever,
    };

    private static int Pick(double[] weights, double sum, Pcg32 random)
    {
        double at = sum * random.NextUnit();
        for (int i = 0; i < weights.Length - 1; i++)
        {
            if (at < weights[i])
                return i;
            at -= weights[i];
        }

        return weights.Length - 1;
    }
}
