using System.Collections.Immutable;

namespace Barostep.Procedures.Settling;

/// <summary>A supposition about how a device lags, before any pair was read: a normal prior on its shares in the <see cref="Relaxations"/>.</summary>
/// <param name="Narrowed">Elements whose shares it takes to be smaller than the loosest supposition does.</param>
/// <param name="Precisions">One over the variance that it gives each of those, less what the loosest gives.</param>
/// <param name="LogWeight">Logarithm of how likely it is among the others, and of what its precisions have in the probability of pairs.</param>
/// <remarks>The figures are from experience with sensors and elastic elements, not from a publication; pairs outweigh them soon.</remarks>
internal sealed record Supposition(ImmutableArray<int> Narrowed, ImmutableArray<double> Precisions, double LogWeight)
{
    /// <summary>Up to this time constant, s, a device may be behind by the whole step.</summary>
    private const double WholeStepUpTo = 3;

    /// <summary>Longer lags are rarer with this power of the time, and with the other one in a device that is called slow.</summary>
    private const int QuickPower = 6;

    private const int SlowPower = 3;

    /// <summary>Standard deviation of an after-effect, as a share of a step; and of what a device without one has in an element.</summary>
    private const double AfterEffect = 0.0015;

    private const double NextToNone = 0.00001;

    private const double WithoutAfterEffect = 0.45;
    private const double Slow = 0.1;

    /// <summary>Slow, with any number of after-effects, or one that is spread over many times.</summary>
    private const double Anything = 0.05;

    private static readonly double[] _loosest = Deviations(SlowPower, AfterEffect);

    /// <summary>One over the variances of the loosest one, which every other one narrows.</summary>
    public static ImmutableArray<double> Loosest { get; } = [.. _loosest.Select(deviation => 1 / Square(deviation))];

    public static ImmutableArray<Supposition> All { get; } =
    [
        Of(Deviations(QuickPower, NextToNone), WithoutAfterEffect),
        Of(Deviations(SlowPower, NextToNone), Slow),
        Of(_loosest, Anything),
        .. WithOneAfterEffect(1 - WithoutAfterEffect - Slow - Anything),
    ];

    /// <summary>One for each place on the ladder: the after-effect shows in two elements, its own time constant lies between theirs.</summary>
    private static IEnumerable<Supposition> WithOneAfterEffect(double probability)
    {
        int[] places = [.. Enumerable.Range(0, _loosest.Length - 1).Where(k => Relaxations.TimeConstants[k] >= WholeStepUpTo)];
        foreach (int place in places)
        {
            double[] deviations = Deviations(QuickPower, NextToNone);
            deviations[place] = Math.Max(deviations[place], AfterEffect);
            deviations[place + 1] = Math.Max(deviations[place + 1], AfterEffect);
            yield return Of(deviations, probability / places.Length);
        }
    }

    private static Supposition Of(double[] deviations, double probability)
    {
        ImmutableArray<int> narrowed = [.. Enumerable.Range(0, deviations.Length).Where(k => deviations[k] < _loosest[k])];
        ImmutableArray<double> precisions = [.. narrowed.Select(k => (1 / Square(deviations[k])) - (1 / Square(_loosest[k])))];
        double density = narrowed.Sum(k => Math.Log(_loosest[k] / deviations[k])) - (0.5 * precisions.Sum(Math.Log));
        return new Supposition(narrowed, precisions, Math.Log(probability) + density);
    }

    private static double[] Deviations(int power, double least) =>
        [.. Relaxations.TimeConstants.Select(tau => Math.Max(least, Math.Min(1, Math.Pow(WholeStepUpTo / tau, power))))];

    private static double Square(double x) => x * x;
}
