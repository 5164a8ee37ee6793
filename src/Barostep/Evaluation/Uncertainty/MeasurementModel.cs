using System.Globalization;
using Barostep.Evaluation.Formulas;

namespace Barostep.Evaluation.Uncertainty;

/// <summary>What is measured as a function of its inputs: a formula, or a sum with given sensitivities.</summary>
public sealed class MeasurementModel
{
    private readonly Formula? _formula;
    private readonly double[] _estimates;

    private MeasurementModel(Formula? formula, IReadOnlyList<UncertaintyInput> inputs, IReadOnlyList<Correlation> correlations)
    {
        _formula = formula;
        _estimates = [.. inputs.Select(input => input.Estimate)];
        Inputs = formula is null ? inputs : [.. inputs.Select((input, i) => input with { Sensitivity = formula.Differentiate(_estimates, i).Derivative(1, 0) })];
        Correlations = correlations;
        Value = Evaluate(_estimates);
        if (!double.IsFinite(Value))
            throw new ArgumentException("the formula has no value at the estimates of its inputs");
        if (Inputs.FirstOrDefault(input => !double.IsFinite(input.Sensitivity)) is { } wild)
            throw new ArgumentException($"the formula has no derivative by {wild.Name} at the estimates of its inputs");
    }

    /// <summary>With the sensitivity coefficients that the formula has at the estimates.</summary>
    public IReadOnlyList<UncertaintyInput> Inputs { get; }

    public IReadOnlyList<Correlation> Correlations { get; }

    /// <summary>Best estimate of the output: the function of the best estimates of its inputs (GUM 4.1.4).</summary>
    public double Value { get; }

    /// <summary>A model whose sensitivity coefficients are found by automatic differentiation (GUM 5.1.3).</summary>
    /// <param name="inputs">In the order of the formula's names; sensitivities given here are replaced.</param>
    /// <exception cref="ArgumentException">Inputs and names differ, or there is no value or derivative at the estimates.</exception>
    public static MeasurementModel Of(Formula formula, IReadOnlyList<UncertaintyInput> inputs, IReadOnlyList<Correlation>? correlations = null)
    {
        ArgumentNullException.ThrowIfNull(formula);
        return inputs.Select(input => input.Name).SequenceEqual(formula.Names)
            ? new MeasurementModel(formula, inputs, correlations ?? [])
            : throw new ArgumentException("the inputs are not those of the formula, in its order");
    }

    /// <summary>y = Σ c·x, with the sensitivities that the inputs state.</summary>
    public static MeasurementModel Sum(IReadOnlyList<UncertaintyInput> inputs, IReadOnlyList<Correlation>? correlations = null) =>
        new(null, inputs, correlations ?? []);

    /// <summary>The output for any values of the inputs.</summary>
    public double Evaluate(ReadOnlySpan<double> values)
    {
        if (_formula is not null)
            return _formula.Evaluate(values);
        double sum = 0;
        for (int i = 0; i < values.Length; i++)
            sum += Inputs[i].Sensitivity * values[i];
        return sum;
    }

    /// <summary>The budget, first order, or with second-order terms.</summary>
    /// <exception cref="ArgumentException">An input or the correlations are impossible, or second order was asked of correlated inputs.</exception>
    public UncertaintyBudget Budget(bool secondOrder = false) =>
        new(Inputs, Correlations, secondOrder ? HigherOrderVariance() : 0);

    /// <summary>Σᵢ Σⱼ (½·fᵢⱼ² + fᵢ·fᵢⱼⱼ)·uᵢ²·uⱼ², the terms of next higher order (GUM 5.1.2, note).</summary>
    /// <remarks>The note holds for independent inputs; its terms with i = j are exact for normal ones.</remarks>
    public double HigherOrderVariance()
    {
        if (Correlations.Any(correlation => correlation.Coefficient != 0))
            throw new ArgumentException("second-order terms are known for independent inputs only; leave them or the correlations out");
        if (_formula is null)
            return 0;
        double sum = 0;
        for (int i = 0; i < Inputs.Count; i++)
        {
            Jet alone = _formula.Differentiate(_estimates, i);
            sum += Term(alone.Derivative(2, 0), alone.Derivative(1, 0) * alone.Derivative(3, 0), i, i);
            for (int j = i + 1; j < Inputs.Count; j++)
            {
                Jet pair = _formula.Differentiate(_estimates, i, j);
                double mixed = pair.Derivative(1, 1);
                sum += Term(mixed, pair.Derivative(1, 0) * pair.Derivative(1, 2), i, j);
                sum += Term(mixed, pair.Derivative(0, 1) * pair.Derivative(2, 1), i, j);
            }
        }

        return double.IsFinite(sum) ? sum : throw new ArgumentException(string.Create(
            CultureInfo.InvariantCulture, $"the formula {_formula.Text} has no second or third derivative at the estimates of its inputs"));
    }

    private double Term(double mixed, double product, int i, int j)
    {
        double ui = Inputs[i].StandardUncertainty;
        double uj = Inputs[j].StandardUncertainty;
        return ((0.5 * mixed * mixed) + product) * ui * ui * uj * uj;
    }
}
