using System.Collections.Immutable;

namespace Barostep.Procedures.Settling;

/// <summary>The shares of a device under every <see cref="Supposition"/> about it, each weighed by how well it foretells the pairs.</summary>
/// <remarks>
/// Each is a linear fit with a normal prior, in closed form. A supposition adds precision in some elements to the loosest one,
/// so that its fit follows from that one's (Woodbury's formula).
/// </remarks>
internal sealed class MixedFit
{
    private readonly double[,] _covariance;
    private readonly double[] _loosest;
    private readonly ImmutableArray<Member> _members;

    /// <param name="information">Products of the pairs' columns over the variance of a pair; overwritten.</param>
    /// <param name="products">And with the values.</param>
    public MixedFit(double[,] information, double[] products)
    {
        for (int k = 0; k < products.Length; k++)
            information[k, k] += Supposition.Loosest[k];
        _covariance = new CholeskyFactor(information).Inverse();
        _loosest = Along(products);
        _members = Weighed([.. Supposition.All.Select(Under)]);
        Shares = Expected();
    }

    /// <summary>Expected shares.</summary>
    public double[] Shares { get; }

    /// <summary>Expectation and standard deviation of a weighted sum of the shares.</summary>
    public (double Expected, double Deviation) Of(ReadOnlySpan<double> row)
    {
        double[] along = Along(row);
        double loosest = Product(row, _loosest), variance = Product(row, along);
        double expected = 0, square = 0;
        Span<double> narrowed = stackalloc double[along.Length];
        foreach (Member member in _members)
        {
            Span<double> part = narrowed[..member.Narrowed.Length];
            Pick(along, member.Narrowed, part);
            double mean = loosest - Product(part, member.Drawn);
            expected += member.Weight * mean;
            square += member.Weight * (variance - member.Spread.Quadratic(part) + (mean * mean));
        }

        return (expected, Math.Sqrt(Math.Max(0, square - (expected * expected))));
    }

    private static ImmutableArray<Member> Weighed(Member[] members)
    {
        double most = members.Max(member => member.Weight);
        double sum = members.Sum(member => Math.Exp(member.Weight - most));
        return [.. members.Select(member => member with { Weight = Math.Exp(member.Weight - most) / sum })];
    }

    private static double Product(ReadOnlySpan<double> one, ReadOnlySpan<double> other)
    {
        double sum = 0;
        for (int i = 0; i < one.Length; i++)
            sum += one[i] * other[i];
        return sum;
    }

    private static void Pick(ReadOnlySpan<double> from, ImmutableArray<int> places, Span<double> into)
    {
        for (int i = 0; i < places.Length; i++)
            into[i] = from[places[i]];
    }

    private double[] Along(ReadOnlySpan<double> row)
    {
        double[] along = new double[row.Length];
        for (int i = 0; i < along.Length; i++)
        {
            for (int j = 0; j < along.Length; j++)
                along[i] += _covariance[i, j] * row[j];
        }

        return along;
    }

    /// <summary>The fit under a supposition; its weight is still a logarithm, and not in proportion to the others.</summary>
    private Member Under(Supposition supposition)
    {
        ImmutableArray<int> narrowed = supposition.Narrowed;
        double[,] spread = new double[narrowed.Length, narrowed.Length];
        for (int i = 0; i < narrowed.Length; i++)
        {
            for (int j = 0; j <= i; j++)
                spread[i, j] = _covariance[narrowed[i], narrowed[j]] + (i == j ? 1 / supposition.Precisions[i] : 0);
        }

        var factor = new CholeskyFactor(spread);
        double[] loosest = new double[narrowed.Length];
        Pick(_loosest, narrowed, loosest);
        double[] drawn = factor.Solve(loosest);
        // Probability of all pairs, but for a factor that no supposition changes.
        double told = -0.5 * (factor.LogDeterminant + Product(loosest, drawn));
        return new Member(narrowed, factor, drawn, supposition.LogWeight + told);
    }

    private double[] Expected()
    {
        double[] shares = [.. _loosest];
        foreach (Member member in _members)
        {
            for (int i = 0; i < member.Narrowed.Length; i++)
            {
                for (int k = 0; k < shares.Length; k++)
                    shares[k] -= _covariance[k, member.Narrowed[i]] * (member.Weight * member.Drawn[i]);
            }
        }

        return shares;
    }

    /// <param name="Narrowed">The elements in which this fit differs from the loosest.</param>
    /// <param name="Spread">Their covariance in the loosest fit, with the variance that the supposition adds.</param>
    /// <param name="Drawn">What takes their shares from the loosest to this one.</param>
    /// <param name="Weight">Probability, given the pairs.</param>
    private sealed record Member(ImmutableArray<int> Narrowed, CholeskyFactor Spread, double[] Drawn, double Weight);
}
