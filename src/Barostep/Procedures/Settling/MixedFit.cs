using System.Collections.Immutable;
using MathNet.Numerics.LinearAlgebra;
using MathNet.Numerics.LinearAlgebra.Double;
using MathNet.Numerics.LinearAlgebra.Factorization;

namespace Barostep.Procedures.Settling;

/// <summary>The shares of a device under every <see cref="Supposition"/> about it, each weighed by how well it foretells the pairs.</summary>
/// <remarks>
/// Each is a linear fit with a normal prior, in closed form. A supposition adds precision in some elements to the loosest one,
/// so that its fit follows from that one's (Woodbury's formula).
/// </remarks>
internal sealed class MixedFit
{
    private readonly Matrix<double> _covariance;
    private readonly Vector<double> _loosest;
    private readonly ImmutableArray<Member> _members;

    /// <param name="information">Products of the pairs' columns over the variance of a pair.</param>
    /// <param name="products">And with the values.</param>
    public MixedFit(Matrix<double> information, Vector<double> products)
    {
        _covariance = (Supposition.Loosest + information).Cholesky().Solve(DenseMatrix.CreateIdentity(products.Count));
        _loosest = _covariance * products;
        _members = Weighed([.. Supposition.All.Select(Under)]);
        Shares = _loosest.Clone();
        foreach (Member member in _members)
        {
            for (int i = 0; i < member.Narrowed.Length; i++)
                Shares -= _covariance.Column(member.Narrowed[i]) * (member.Weight * member.Drawn[i]);
        }
    }

    /// <summary>Expected shares.</summary>
    public Vector<double> Shares { get; }

    /// <summary>Expectation and standard deviation of a weighted sum of the shares.</summary>
    public (double Expected, double Deviation) Of(Vector<double> row)
    {
        Vector<double> along = _covariance * row;
        double loosest = row * _loosest, variance = row * along;
        double expected = 0, square = 0;
        foreach (Member member in _members)
        {
            double mean = loosest - member.Draw(along);
            expected += member.Weight * mean;
            square += member.Weight * (variance - member.Reduction(along) + (mean * mean));
        }

        return (expected, Math.Sqrt(Math.Max(0, square - (expected * expected))));
    }

    private static ImmutableArray<Member> Weighed(Member[] members)
    {
        double most = members.Max(member => member.Weight);
        double sum = members.Sum(member => Math.Exp(member.Weight - most));
        return [.. members.Select(member => member with { Weight = Math.Exp(member.Weight - most) / sum })];
    }

    /// <summary>The fit under a supposition; its weight is still a logarithm, and not in proportion to the others.</summary>
    private Member Under(Supposition supposition)
    {
        ImmutableArray<int> narrowed = supposition.Narrowed;
        double prior = Math.Log(supposition.Probability) + supposition.LogDensity;
        if (narrowed.IsEmpty)
            return new Member(narrowed, new double[0, 0], [], prior);
        Cholesky<double> spread = DenseMatrix.Create(
            narrowed.Length,
            narrowed.Length,
            (i, j) => _covariance[narrowed[i], narrowed[j]] + (i == j ? 1 / supposition.Precisions[i] : 0)).Cholesky();
        Vector<double> loosest = DenseVector.OfEnumerable(narrowed.Select(k => _loosest[k]));
        Vector<double> drawn = spread.Solve(loosest);
        // Probability of all pairs, but for a factor that no supposition changes.
        double told = -0.5 * (spread.DeterminantLn + supposition.Precisions.Sum(Math.Log) + (loosest * drawn));
        return new Member(narrowed, spread.Solve(DenseMatrix.CreateIdentity(narrowed.Length)).ToArray(), drawn.ToArray(), prior + told);
    }

    /// <param name="Narrowed">The elements in which this fit differs from the loosest.</param>
    /// <param name="Gain">What takes their covariance from the loosest to this one.</param>
    /// <param name="Drawn">What takes their shares there.</param>
    /// <param name="Weight">Probability, given the pairs.</param>
    private sealed record Member(ImmutableArray<int> Narrowed, double[,] Gain, double[] Drawn, double Weight)
    {
        /// <summary>By how much a sum is nearer to nothing than in the loosest fit.</summary>
        public double Draw(Vector<double> along)
        {
            double sum = 0;
            for (int i = 0; i < Narrowed.Length; i++)
                sum += along[Narrowed[i]] * Drawn[i];
            return sum;
        }

        /// <summary>By how much its variance is smaller.</summary>
        public double Reduction(Vector<double> along)
        {
            double sum = 0;
            for (int i = 0; i < Narrowed.Length; i++)
            {
                for (int j = 0; j < Narrowed.Length; j++)
                    sum += along[Narrowed[i]] * Gain[i, j] * along[Narrowed[j]];
            }

            return sum;
        }
    }
}
