namespace Barostep.Evaluation.Corrections;

/// <summary>What a certificate says must be added to an indication: corrected value = indication + correction.</summary>
/// <remarks>All in one unit. A correction is the negative of the error that the certificate tells.</remarks>
public abstract record CorrectionCurve
{
    private CorrectionCurve()
    {
    }

    /// <summary>The correction at an indication.</summary>
    public abstract double At(double indication);

    public double Corrected(double indication) => indication + At(indication);

    /// <summary>The same everywhere.</summary>
    public sealed record Offset(double Value) : CorrectionCurve
    {
        public override double At(double indication) => Value;
    }

    /// <summary>Corrected value = gain × indication + offset.</summary>
    public sealed record Gain(double Factor, double Value) : CorrectionCurve
    {
        public override double At(double indication) => ((Factor - 1) * indication) + Value;
    }

    /// <summary>Correction = Σ c_k·indication^k, lowest power first.</summary>
    public sealed record Polynomial(IReadOnlyList<double> Coefficients) : CorrectionCurve
    {
        public override double At(double indication) => PolynomialFit.Horner(Coefficients, indication);
    }

    /// <summary>Straight between the points of a certificate; outside them the nearest point's correction stands.</summary>
    public sealed record Table : CorrectionCurve
    {
        private readonly double[] _indications;
        private readonly double[] _corrections;

        /// <exception cref="ArgumentException">There are no points, or the indications do not rise.</exception>
        public Table(IReadOnlyList<(double Indication, double Correction)> points)
        {
            if (points.Count == 0)
                throw new ArgumentException("a correction table has at least one point", nameof(points));
            for (int i = 1; i < points.Count; i++)
            {
                if (!(points[i].Indication > points[i - 1].Indication))
                    throw new ArgumentException($"the indication of point {i + 1} is not above that of point {i}; sort the table", nameof(points));
            }

            _indications = [.. points.Select(point => point.Indication)];
            _corrections = [.. points.Select(point => point.Correction)];
        }

        /// <summary>Whether an indication lies between the certificate's first and last point.</summary>
        public bool Covers(double indication) => indication >= _indications[0] && indication <= _indications[^1];

        public override double At(double indication) => Interpolation.At(_indications, _corrections, indication);
    }
}
