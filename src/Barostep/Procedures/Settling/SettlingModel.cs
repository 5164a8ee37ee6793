using System.Collections.Immutable;
using MathNet.Numerics.LinearAlgebra;
using MathNet.Numerics.LinearAlgebra.Double;

namespace Barostep.Procedures.Settling;

/// <summary>What is still to come of the error of indication, and how well that is known.</summary>
/// <param name="RemainingPascals">Expected difference between the mean error over the reading and the error at rest, Pa.</param>
/// <param name="UncertaintyPascals">Standard uncertainty of that, Pa.</param>
/// <param name="NoisePascals">Standard deviation of one pair, Pa.</param>
/// <param name="Pairs">Pairs read at this point.</param>
public readonly record struct SettlingForecast(double RemainingPascals, double UncertaintyPascals, double NoisePascals, int Pairs)
{
    /// <summary>Largest magnitude that the rest may have, with a coverage factor.</summary>
    public double Bound(double coverageFactor) => Math.Abs(RemainingPascals) + (coverageFactor * UncertaintyPascals);
}

/// <summary>
/// Learns from the pairs of a run how a device follows the pressure, and tells what is still to come of its error.
/// </summary>
/// <remarks>
/// <para>At a point, e(t) = a + Σ b·x(t) + noise: a is the error at rest, x are the <see cref="Relaxations"/> that the measured
/// pressure has left, and the shares b belong to the device. Their sums run through the whole run; each point has its own a.
/// Linear least squares with normal priors on b (ridge regression), in closed form.</para>
/// <para>Pure: the same pairs give the same forecasts, on the bench and afterwards from the record. An immutable value.</para>
/// </remarks>
public sealed class SettlingModel
{
    /// <summary>A device follows one step as it followed those before to this share of what remains.</summary>
    private const double RelativeDeviation = 0.03;

    /// <summary>Pairs that the noise is taken from.</summary>
    private const int NoisePairs = 60;

    /// <summary>A jump is seen over this many of the newest pairs.</summary>
    private const int JumpPairs = 6;

    /// <summary>And counts from this many standard deviations of their mean.</summary>
    private const double JumpDeviations = 6;

    /// <summary>A reading that differs from the one before by this many standard deviations of a pair has moved.</summary>
    private const double MovingDeviations = 6;

    /// <summary>Fewer than this say nothing of the noise.</summary>
    private const int FewestPairs = 8;

    private readonly double _leastNoisePascals;

    // Made when it is first asked for: a cycle asks several times, and the pairs do not change.
    private Fit? _fit;

    private SettlingModel(double leastNoisePascals)
    {
        _leastNoisePascals = leastNoisePascals;
        NoiseBefore = Square(leastNoisePascals);
    }

    private SettlingModel(SettlingModel other)
    {
        _leastNoisePascals = other._leastNoisePascals;
        Followed = other.Followed;
        FirstError = other.FirstError;
        Sums = other.Sums;
        Residuals = other.Residuals;
        Reading = other.Reading;
        Known = other.Known;
        KnownProducts = other.KnownProducts;
        KnownShares = other.KnownShares;
        NoiseBefore = other.NoiseBefore;
    }

    private Relaxations? Followed { get; init; }

    private PairSums Sums { get; init; } = PairSums.Empty;

    /// <summary>Error of the first pair of this point: the sums lose no digits to what all of them share.</summary>
    private double FirstError { get; init; }

    /// <summary>Errors at this point, less what earlier points say of the device: what is left is noise, unless it is a surprise.</summary>
    private ImmutableList<double> Residuals { get; init; } = [];

    /// <summary>Behind what the pairs of the present reading were.</summary>
    private ImmutableList<Vector<double>> Reading { get; init; } = [];

    private Matrix<double> Known { get; init; } = new DenseMatrix(Relaxations.TimeConstants.Length);

    private Vector<double> KnownProducts { get; init; } = new DenseVector(Relaxations.TimeConstants.Length);

    /// <summary>Variance of a pair at the point before.</summary>
    private double NoiseBefore { get; init; }

    /// <summary>The shares that earlier points give.</summary>
    private Vector<double> KnownShares { get; init; } = new DenseVector(Relaxations.TimeConstants.Length);

    /// <summary>Nothing known yet.</summary>
    /// <param name="leastNoisePascals">Noise of one pair that is assumed at least: that of a resolution, say.</param>
    public static SettlingModel Begin(double leastNoisePascals) => new(leastNoisePascals);

    /// <summary>Takes a pair on the way to a point.</summary>
    public SettlingModel Follow(in SettlingPair pair) => new(Residuals.IsEmpty ? this : Closed())
    {
        Followed = Followed?.Follow(pair.AtMicros, pair.ReferencePascals) ?? Relaxations.AtRest(pair.AtMicros, pair.ReferencePascals),
    };

    /// <summary>Takes a pair at a point.</summary>
    public SettlingModel Settle(in SettlingPair pair)
    {
        if (Followed is null)
            return new SettlingModel(this) { Followed = Relaxations.AtRest(pair.AtMicros, pair.ReferencePascals) }.Settle(pair);
        Relaxations after = Followed.Follow(pair.AtMicros, pair.ReferencePascals);
        // At rest, up to the reading before: its own noise is in the error as well, and would look like a device that does not follow.
        bool moving = Math.Abs(pair.ReferencePascals - Followed.Pascals) > MovingDeviations * Math.Sqrt(Residuals.Count < FewestPairs ? NoiseBefore : Noise());
        Vector<double> behind = DenseVector.OfEnumerable(moving ? after.Behind : Followed.At(pair.AtMicros));
        SettlingModel before = Jumped() ? Forgetting() : this;
        double first = before.Residuals.IsEmpty ? pair.ErrorPascals : before.FirstError;
        return new SettlingModel(before)
        {
            Followed = after,
            FirstError = first,
            Sums = before.Sums.Add(behind, pair.ErrorPascals - first),
            Residuals = before.Residuals.Add(pair.ErrorPascals - (KnownShares * behind)),
            Reading = before.Reading.Add(behind),
        };
    }

    /// <summary>What is left over a reading that begins now and lasts so long; null while there are too few pairs.</summary>
    public SettlingForecast? Forecast(double readingSeconds) => Residuals.Count < FewestPairs ? null : Fitted().After(0, readingSeconds);

    /// <summary>The readings that count begin here.</summary>
    public SettlingModel BeginReading() => new(this) { Reading = [] };

    /// <summary>What was left over the pairs since <see cref="BeginReading"/>, known after the fact: the pressure may have moved meanwhile.</summary>
    public SettlingForecast? OverReading() => Reading.IsEmpty || Residuals.Count < FewestPairs
        ? null
        : Fitted().Of(Reading.Aggregate(new DenseVector(Relaxations.TimeConstants.Length) as Vector<double>, (sum, behind) => sum + behind).Divide(Reading.Count).ToArray());

    /// <summary>Time until what is left is within a bound, s, if the pressure stays; null while there are too few pairs.</summary>
    public double? SecondsUntil(double boundPascals, double coverageFactor, double readingSeconds)
    {
        const double Longest = 600;
        if (Residuals.Count < FewestPairs)
            return null;
        Fit fit = Fitted();
        double low = 0;
        double high = fit.After(0, readingSeconds).Bound(coverageFactor) <= boundPascals ? 0 : Longest;
        while (high - low > 0.1)
        {
            double middle = 0.5 * (low + high);
            if (fit.After(middle, readingSeconds).Bound(coverageFactor) <= boundPascals)
                high = middle;
            else
                low = middle;
        }

        return high;
    }

    private static double Square(double x) => x * x;

    /// <summary>What the pairs of this point told of the device is kept; its error at rest is not.</summary>
    private SettlingModel Closed()
    {
        if (Residuals.Count < FewestPairs)
            return Forgetting();
        double noise = Noise();
        Matrix<double> told = Sums.Products / noise;
        Vector<double> toldProducts = Sums.ProductsWithValues / noise;
        Vector<double> shares = DenseVector.OfArray(Mixed(Known + told, KnownProducts + toldProducts).Shares);
        (told, toldProducts) = Loosened(told, toldProducts, shares);
        Matrix<double> known = Known + told;
        Vector<double> products = KnownProducts + toldProducts;
        return new SettlingModel(Forgetting()) { Known = known, KnownProducts = products, KnownShares = DenseVector.OfArray(Mixed(known, products).Shares), NoiseBefore = noise };
    }

    private Fit Fitted()
    {
        if (_fit is { } fitted)
            return fitted;
        double noise = Noise();
        // This approach may differ from those before: what is known of them counts for less along their mean.
        (Matrix<double> known, Vector<double> products) = Loosened(Known, KnownProducts, KnownShares);
        var fit = new Fit(Mixed(known + (Sums.Products / noise), products + (Sums.ProductsWithValues / noise)), Followed!, Math.Sqrt(noise), Residuals.Count);
        _fit = fit;
        return fit;
    }

    private static MixedFit Mixed(Matrix<double> information, Vector<double> products) => new(information.ToArray(), products.ToArray());

    /// <summary>Information and products once the whole response may be larger or smaller by a relative deviation (Sherman and Morrison's formula).</summary>
    private static (Matrix<double> Information, Vector<double> Products) Loosened(Matrix<double> information, Vector<double> products, Vector<double> shares)
    {
        Vector<double> along = information * (shares * RelativeDeviation);
        double scale = 1 + (RelativeDeviation * (shares * along));
        return (information - (along.OuterProduct(along) / scale), products - (along * (RelativeDeviation * (shares * products) / scale)));
    }

    private double Noise()
    {
        double[] newest = Newest(NoisePairs);
        return Math.Max(HadamardNoise.Variance(newest) ?? 0, Square(_leastNoisePascals));
    }

    /// <summary>This point from the beginning: what it told before a jump is not the device's way to follow.</summary>
    private SettlingModel Forgetting() => new(this) { FirstError = 0, Sums = PairSums.Empty, Residuals = [], Reading = [] };

    // The newest errors differ from those before by more than noise, and the way they have been going, explain: somebody tapped the device, or a wire.
    private bool Jumped()
    {
        if (Residuals.Count < 4 * JumpPairs)
            return false;
        ReadOnlySpan<double> newest = Newest(4 * JumpPairs);
        double first = Mean(newest[..JumpPairs]), second = Mean(newest[JumpPairs..(2 * JumpPairs)]);
        double third = Mean(newest[(2 * JumpPairs)..(3 * JumpPairs)]), last = Mean(newest[(3 * JumpPairs)..]);
        double trend = Math.Max(Math.Abs(second - first), Math.Abs(third - second));
        double noise = Math.Sqrt(Math.Max(HadamardNoise.Overlapping(newest[..(3 * JumpPairs)], 1), Square(_leastNoisePascals)));
        return Math.Abs(last - third) > (2 * trend) + (JumpDeviations * noise * Math.Sqrt(2.0 / JumpPairs));
    }

    private double[] Newest(int most)
    {
        double[] newest = new double[Math.Min(Residuals.Count, most)];
        Residuals.CopyTo(Residuals.Count - newest.Length, newest, 0, newest.Length);
        return newest;
    }

    private static double Mean(ReadOnlySpan<double> values)
    {
        double sum = 0;
        foreach (double value in values)
            sum += value;
        return sum / values.Length;
    }

    private readonly record struct Fit(MixedFit Mixed, Relaxations Followed, double NoisePascals, int Pairs)
    {
        public SettlingForecast After(double seconds, double readingSeconds)
        {
            double[] weights = new double[Relaxations.TimeConstants.Length];
            for (int k = 0; k < weights.Length; k++)
            {
                double tau = Relaxations.TimeConstants[k];
                // Mean of exp(-t/tau) over the reading.
                weights[k] = Followed.Behind[k] * Math.Exp(-seconds / tau) * (tau / readingSeconds) * (1 - Math.Exp(-readingSeconds / tau));
            }

            return Of(weights);
        }

        public SettlingForecast Of(ReadOnlySpan<double> row)
        {
            (double remaining, double uncertainty) = Mixed.Of(row);
            return new SettlingForecast(remaining, uncertainty, NoisePascals, Pairs);
        }
    }
}
