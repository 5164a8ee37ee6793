namespace Barostep.Evaluation.Formulas;

/// <summary>
/// A value with its partial derivatives up to the third order by two inputs, carried through a calculation: automatic
/// differentiation in forward mode, exact to rounding where finite differences would have to choose a step.
/// </summary>
/// <remarks>
/// Held as a Taylor polynomial in two variables, cut above total degree 3: that is as far as the higher-order terms of
/// GUM 5.1.2, note, reach. A function is applied by putting the polynomial's part without constant term into the
/// function's own Taylor series (A. Griewank and A. Walther, Evaluating Derivatives, chapter 13).
/// </remarks>
public sealed class Jet
{
    private const int Order = 3;
    private const int Size = 4;

    // Coefficient of a^i·b^j at i·Size + j; those with i + j above the order stay 0.
    private readonly double[] _coefficients = new double[Size * Size];

    private Jet()
    {
    }

    public double Value => _coefficients[0];

    private bool IsConstant => _coefficients.AsSpan(1).IndexOfAnyExcept(0.0) < 0;

    public static Jet Constant(double value) => With(value, 0, 0);

    /// <summary>An input by which is differentiated.</summary>
    /// <param name="value">Where.</param>
    /// <param name="first">Whether it is the first of the two inputs.</param>
    public static Jet Variable(double value, bool first) => first ? With(value, 1, 0) : With(value, 0, 1);

    /// <summary>The derivative taken so many times by the first and by the second input; at most 3 together.</summary>
    public double Derivative(int byFirst, int bySecond)
    {
        if (byFirst < 0 || bySecond < 0 || byFirst + bySecond > Order)
            throw new ArgumentOutOfRangeException(nameof(byFirst), "derivatives are carried to the third order");
        return _coefficients[(byFirst * Size) + bySecond] * Factorial(byFirst) * Factorial(bySecond);
    }

    public static Jet operator +(Jet a, Jet b) => Linear(a, 1, b, 1);

    public static Jet operator -(Jet a, Jet b) => Linear(a, 1, b, -1);

    public static Jet operator -(Jet a) => Linear(a, -1, a, 0);

    public static Jet operator *(Jet a, Jet b)
    {
        Jet product = new();
        for (int i = 0; i <= Order; i++)
        {
            for (int j = 0; i + j <= Order; j++)
            {
                double left = a._coefficients[(i * Size) + j];
                if (left == 0)
                    continue;
                for (int k = 0; i + j + k <= Order; k++)
                {
                    for (int l = 0; i + j + k + l <= Order; l++)
                        product._coefficients[((i + k) * Size) + j + l] += left * b._coefficients[(k * Size) + l];
                }
            }
        }

        return product;
    }

    public static Jet operator /(Jet a, Jet b)
    {
        double r = 1 / b.Value;
        return a * b.Compose(r, -r * r, 2 * r * r * r, -6 * r * r * r * r);
    }

    public static Jet Sqrt(Jet x)
    {
        double s = Math.Sqrt(x.Value);
        return x.Compose(s, 1 / (2 * s), -1 / (4 * s * s * s), 3 / (8 * s * s * s * s * s));
    }

    public static Jet Exp(Jet x)
    {
        double e = Math.Exp(x.Value);
        return x.Compose(e, e, e, e);
    }

    public static Jet Ln(Jet x)
    {
        double r = 1 / x.Value;
        return x.Compose(Math.Log(x.Value), r, -r * r, 2 * r * r * r);
    }

    public static Jet Sin(Jet x)
    {
        (double s, double c) = Math.SinCos(x.Value);
        return x.Compose(s, c, -s, -c);
    }

    public static Jet Cos(Jet x)
    {
        (double s, double c) = Math.SinCos(x.Value);
        return x.Compose(c, -s, -c, s);
    }

    public static Jet Tan(Jet x)
    {
        double t = Math.Tan(x.Value);
        double d = 1 + (t * t);
        return x.Compose(t, d, 2 * t * d, d * (2 + (6 * t * t)));
    }

    public static Jet Tanh(Jet x)
    {
        double t = Math.Tanh(x.Value);
        double d = 1 - (t * t);
        return x.Compose(t, d, -2 * t * d, d * ((6 * t * t) - 2));
    }

    public static Jet Asin(Jet x)
    {
        double v = x.Value;
        double q = 1 - (v * v);
        double s = Math.Sqrt(q);
        return x.Compose(Math.Asin(v), 1 / s, v / (s * q), (1 + (2 * v * v)) / (s * q * q));
    }

    public static Jet Atan(Jet x)
    {
        double v = x.Value;
        double p = 1 + (v * v);
        return x.Compose(Math.Atan(v), 1 / p, -2 * v / (p * p), ((6 * v * v) - 2) / (p * p * p));
    }

    /// <summary>Without a derivative at 0, where it becomes not a number.</summary>
    public static Jet Abs(Jet x)
    {
        double slope = x.Value == 0 ? double.NaN : Math.Sign(x.Value);
        return x.Compose(Math.Abs(x.Value), slope, 0, 0);
    }

    /// <summary>x to the power of y; with a constant y also for x not above 0.</summary>
    public static Jet Power(Jet x, Jet y)
    {
        if (!y.IsConstant)
            return Exp(y * Ln(x));
        double n = y.Value;
        double v = x.Value;
        // A factor that is 0 wins over a negative power of 0: x² has no third derivative anywhere.
        static double Term(double factor, double v, double power) => factor == 0 ? 0 : factor * Math.Pow(v, power);
        return x.Compose(Math.Pow(v, n), Term(n, v, n - 1), Term(n * (n - 1), v, n - 2), Term(n * (n - 1) * (n - 2), v, n - 3));
    }

    private static Jet With(double value, double byFirst, double bySecond)
    {
        Jet jet = new();
        jet._coefficients[0] = value;
        jet._coefficients[Size] = byFirst;
        jet._coefficients[1] = bySecond;
        return jet;
    }

    private static Jet Linear(Jet a, double ofA, Jet b, double ofB)
    {
        Jet sum = new();
        for (int i = 0; i < Size * Size; i++)
            sum._coefficients[i] = (ofA * a._coefficients[i]) + (ofB == 0 ? 0 : ofB * b._coefficients[i]);
        return sum;
    }

    // f(v + h) = f + f'·h + f''/2·h² + f'''/6·h³, where h has no constant term, so that higher powers of it are cut.
    private Jet Compose(double f, double f1, double f2, double f3)
    {
        if (IsConstant)
            return Constant(f);
        Jet h = Linear(this, 1, this, 0);
        h._coefficients[0] = 0;
        Jet h2 = h * h;
        Jet result = Linear(Linear(h, f1, h2, f2 / 2), 1, h2 * h, f3 / 6);
        result._coefficients[0] = f;
        return result;
    }

    private static double Factorial(int n) => n switch
    {
        0 or 1 => 1,
        2 => 2,
        _ => 6,
    };
}
