namespace Barostep.Evaluation.Uncertainty;

/// <summary>Draws values for the inputs of a model from what is believed of them (JCGM 101 clause 6.4).</summary>
internal sealed class InputSampler
{
    private readonly IReadOnlyList<UncertaintyInput> _inputs;
    private readonly double[] _halfWidths;
    private readonly double[,]? _factor;
    private readonly double[] _independent;
    private readonly Xoshiro256 _random;
    private double? _spareNormal;

    /// <exception cref="ArgumentException">A correlated input is not normal, or a t distribution has no degrees of freedom.</exception>
    public InputSampler(IReadOnlyList<UncertaintyInput> inputs, IReadOnlyList<Correlation> correlations, ulong seed)
    {
        _inputs = inputs;
        _random = new Xoshiro256(seed);
        _independent = new double[inputs.Count];
        _halfWidths = [.. inputs.Select(input => HasLimits(input.Distribution) ? input.StandardUncertainty * UncertaintyInput.Divisor(input.Distribution) : 0)];
        _factor = correlations.Any(correlation => correlation.Coefficient != 0) ? CorrelationMatrix.Of(inputs, correlations).Factor : null;
        foreach (UncertaintyInput input in inputs)
        {
            if (input.Distribution != Distribution.Normal && correlations.Any(correlation => correlation.Coefficient != 0 && (correlation.First == input.Name || correlation.Second == input.Name)))
                throw new ArgumentException($"{input.Name}: correlated inputs are drawn from a joint normal distribution only (JCGM 101 6.4.8); state it as normal or leave the correlation out");
        }
    }

    public void Draw(Span<double> values)
    {
        for (int i = 0; i < _inputs.Count; i++)
        {
            if (_inputs[i].Distribution == Distribution.Normal)
                _independent[i] = Normal();
        }

        for (int i = 0; i < _inputs.Count; i++)
            values[i] = _inputs[i].Estimate + Deviation(i);
    }

    private static bool HasLimits(Distribution distribution) =>
        distribution is Distribution.Rectangular or Distribution.Triangular or Distribution.Arcsine;

    private double Deviation(int i) => _inputs[i].Distribution switch
    {
        Distribution.Normal => _inputs[i].StandardUncertainty * Joint(i),
        Distribution.Rectangular => _halfWidths[i] * ((2 * _random.NextUnit()) - 1),
        Distribution.Triangular => _halfWidths[i] * (_random.NextUnit() - _random.NextUnit()),
        Distribution.Arcsine => _halfWidths[i] * Math.Sin(2 * Math.PI * _random.NextUnit()),
        Distribution.StudentT => _inputs[i].StandardUncertainty * (double.IsInfinity(_inputs[i].DegreesOfFreedom) ? Normal() : StudentT(_inputs[i].DegreesOfFreedom)),
        _ => throw new ArgumentOutOfRangeException(nameof(i), _inputs[i].Distribution, "unknown distribution"),
    };

    private double Joint(int i)
    {
        if (_factor is null)
            return _independent[i];
        double sum = 0;
        for (int j = 0; j <= i; j++)
        {
            if (_factor[i, j] != 0)
                sum += _factor[i, j] * _independent[j];
        }

        return sum;
    }

    // Box and Muller (JCGM 101 C.4): two at a time.
    private double Normal()
    {
        if (_spareNormal is { } spare)
        {
            _spareNormal = null;
            return spare;
        }

        double radius = Math.Sqrt(-2 * Math.Log(_random.NextUnit()));
        (double sine, double cosine) = Math.SinCos(2 * Math.PI * _random.NextUnit());
        _spareNormal = radius * sine;
        return radius * cosine;
    }

    // R. W. Bailey, Polar generation of random variates with the t-distribution, Math. Comp. 62 (1994) 779.
    private double StudentT(double degreesOfFreedom)
    {
        while (true)
        {
            double u = (2 * _random.NextUnit()) - 1;
            double v = (2 * _random.NextUnit()) - 1;
            double w = (u * u) + (v * v);
            if (w is > 0 and <= 1)
                return u * Math.Sqrt(degreesOfFreedom * (Math.Pow(w, -2 / degreesOfFreedom) - 1) / w);
        }
    }
}
