namespace Barostep.Evaluation.Uncertainty;

/// <summary>How a Monte Carlo run is made.</summary>
/// <param name="Probability">Coverage probability.</param>
/// <param name="Seed">The same seed gives the same figures to the last digit.</param>
/// <param name="SignificantDigits">
/// Of the standard uncertainty, that are to be meaningful: 1 or 2 (JCGM 101 7.9.2). Null takes 2 where the first digit is
/// 1 or 2, so that the tolerance is never more than about a sixth of the uncertainty, and 1 otherwise.
/// </param>
/// <param name="MostTrials">The run ends here even where it is not stable yet, and says so.</param>
/// <param name="ToleranceShare">
/// Share of the numerical tolerance within which the run must be stable; a fifth where a GUM budget is to be validated
/// (JCGM 101 8.2).
/// </param>
public sealed record MonteCarloOptions(
    double Probability = 0.95,
    ulong Seed = 1,
    int? SignificantDigits = null,
    int MostTrials = 10_000_000,
    double ToleranceShare = 0.2);

/// <summary>A coverage interval of the output, in its unit.</summary>
public readonly record struct CoverageInterval(double Low, double High)
{
    public double Length => High - Low;
}

/// <summary>What a Monte Carlo run found.</summary>
/// <param name="Mean">Estimate of the output.</param>
/// <param name="StandardUncertainty">Standard deviation of the trials.</param>
/// <param name="Symmetric">Probabilistically symmetric coverage interval (JCGM 101 7.7.2).</param>
/// <param name="Shortest">Shortest coverage interval (JCGM 101 7.7.3).</param>
/// <param name="Trials">How many were made.</param>
/// <param name="NumericalTolerance">δ of the standard uncertainty (JCGM 101 7.9.2), in the output's unit.</param>
/// <param name="IsStable">Whether all four figures were stable to the share of δ asked for.</param>
public sealed record MonteCarloResult(
    double Mean,
    double StandardUncertainty,
    CoverageInterval Symmetric,
    CoverageInterval Shortest,
    long Trials,
    double NumericalTolerance,
    bool IsStable);

/// <summary>Propagation of distributions by the adaptive Monte Carlo procedure (JCGM 101:2008 clause 7.9.4).</summary>
/// <remarks>
/// Blocks of M trials are added until twice the standard deviation of the means over the blocks of estimate, standard
/// uncertainty and both ends of the shortest interval is within the tolerance; the result is then taken from all trials.
/// </remarks>
public static class MonteCarlo
{
    // With two blocks, as the clause begins, both can lie close together by accident.
    private const int FewestBlocks = 5;

    /// <exception cref="ArgumentException">Options or inputs are impossible, or the model has no value for some of the draws.</exception>
    public static MonteCarloResult Propagate(MeasurementModel model, MonteCarloOptions options)
    {
        ArgumentNullException.ThrowIfNull(model);
        ArgumentNullException.ThrowIfNull(options);
        int block = BlockSize(options.Probability);
        if (options.MostTrials < 2 * block)
            throw new ArgumentException($"at most {options.MostTrials} trials; at this probability a run needs {2 * block} or more");
        InputSampler sampler = new(model.Inputs, model.Correlations, options.Seed);
        List<double> all = [];
        BlockFigures figures = new();
        double tolerance = 0;
        bool stable = false;
        while (!stable && all.Count + block <= options.MostTrials)
        {
            double[] values = Draw(model, sampler, block);
            figures.Add(Summary(values, options.Probability, tolerance, isStable: false));
            all.AddRange(values);
            tolerance = NumericalTolerance(figures.StandardUncertainty, options.SignificantDigits);
            stable = figures.Count >= FewestBlocks && figures.TwiceLargestDeviation <= options.ToleranceShare * tolerance;
        }

        double[] trials = [.. all];
        MonteCarloResult result = Summary(trials, options.Probability, 0, stable);
        return result with { NumericalTolerance = NumericalTolerance(result.StandardUncertainty, options.SignificantDigits) };
    }

    /// <summary>δ = ½·10^l, where u = c·10^l with c a whole number of so many digits (JCGM 101 7.9.2).</summary>
    public static double NumericalTolerance(double standardUncertainty, int? digits = null)
    {
        int significantDigits = digits ?? DigitsFor(standardUncertainty);
        if (significantDigits is not (1 or 2))
            throw new ArgumentOutOfRangeException(nameof(digits), significantDigits, "one or two digits of an uncertainty are meaningful");
        if (!(standardUncertainty > 0))
            return 0;
        int exponent = (int)Math.Floor(Math.Log10(standardUncertainty)) - significantDigits + 1;
        // 0.0996 with two digits is 10 × 10⁻²: rounding can carry into the next power.
        if (Math.Round(standardUncertainty / Math.Pow(10, exponent)) >= Math.Pow(10, significantDigits))
            exponent++;
        return 0.5 * Math.Pow(10, exponent);
    }

    private static int DigitsFor(double standardUncertainty) =>
        standardUncertainty > 0 && standardUncertainty / Math.Pow(10, Math.Floor(Math.Log10(standardUncertainty))) < 2.95 ? 2 : 1;

    // JCGM 101 7.9.4 b: J is the least whole number not below 100/(1 − p), M the larger of J and 10⁴.
    private static int BlockSize(double probability)
    {
        if (!(probability > 0 && probability <= 0.9999))
            throw new ArgumentOutOfRangeException(nameof(probability), probability, "a coverage probability lies above 0 and up to 0.9999");
        return Math.Max(10_000, (int)Math.Ceiling(Math.Round(100 / (1 - probability), 6)));
    }

    private static double[] Draw(MeasurementModel model, InputSampler sampler, int count)
    {
        double[] inputs = new double[model.Inputs.Count];
        double[] values = new double[count];
        for (int i = 0; i < count; i++)
        {
            sampler.Draw(inputs);
            values[i] = model.Evaluate(inputs);
            if (!double.IsFinite(values[i]))
                throw new ArgumentException("the formula has no value for some inputs within their distributions, so nothing can be said of its result; narrow the inputs or correct the formula");
        }

        return values;
    }

    private static MonteCarloResult Summary(double[] values, double probability, double tolerance, bool isStable)
    {
        double mean = Statistics.Mean(values);
        double deviation = Statistics.StandardDeviation(values) ?? 0;
        Array.Sort(values);
        return new MonteCarloResult(
            mean, deviation, SymmetricInterval(values, probability), ShortestInterval(values, probability), values.Length, tolerance, isStable);
    }

    private static CoverageInterval SymmetricInterval(double[] sorted, double probability)
    {
        int within = Within(sorted.Length, probability);
        int low = (sorted.Length - within + 1) / 2;
        return new CoverageInterval(sorted[low - 1], sorted[low - 1 + within]);
    }

    private static CoverageInterval ShortestInterval(double[] sorted, double probability)
    {
        int within = Within(sorted.Length, probability);
        int best = 0;
        for (int i = 1; i + within < sorted.Length; i++)
        {
            if (sorted[i + within] - sorted[i] < sorted[best + within] - sorted[best])
                best = i;
        }

        return new CoverageInterval(sorted[best], sorted[best + within]);
    }

    private static int Within(int count, double probability) => Math.Min(count - 1, (int)Math.Floor((probability * count) + 0.5));

    /// <summary>The four figures of each block, and how much their means still move.</summary>
    private sealed class BlockFigures
    {
        private readonly List<double>[] _figures = [[], [], [], []];

        public int Count => _figures[0].Count;

        public double StandardUncertainty => _figures[1].Average();

        /// <summary>2·s of the mean over the blocks, the largest of the four.</summary>
        public double TwiceLargestDeviation => _figures.Max(figure =>
            2 * (Statistics.StandardDeviation([.. figure]) ?? double.PositiveInfinity) / Math.Sqrt(figure.Count));

        public void Add(MonteCarloResult block)
        {
            _figures[0].Add(block.Mean);
            _figures[1].Add(block.StandardUncertainty);
            _figures[2].Add(block.Shortest.Low);
            _figures[3].Add(block.Shortest.High);
        }
    }
}
