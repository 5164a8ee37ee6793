namespace Barostep.Evaluation.Formulas;

/// <summary>A measurement model written as text, for example <c>v / r * (1 + alpha * (t - 20))</c>.</summary>
/// <remarks>
/// Numbers, named inputs, <c>pi</c>, <c>+ - * / ^</c>, parentheses and functions of one argument (sqrt, exp, ln, log10,
/// sin, cos, tan, asin, acos, atan, sinh, cosh, tanh, abs). <c>-x^2</c> is −(x²) and <c>2^3^2</c> is 2⁹.
/// </remarks>
public sealed class Formula
{
    /// <summary>The one name that is a number, unless an input has it.</summary>
    public const string Pi = "pi";

    /// <summary>A longer text is no formula that a person could check.</summary>
    public const int LongestText = 2000;

    private readonly FormulaNode _root;
    private readonly IReadOnlySet<int> _used;

    private Formula(string text, IReadOnlyList<string> names, FormulaNode root, IReadOnlySet<int> used)
    {
        Text = text;
        Names = names;
        _root = root;
        _used = used;
    }

    public string Text { get; }

    /// <summary>The inputs, in the order in which their values are given.</summary>
    public IReadOnlyList<string> Names { get; }

    /// <exception cref="FormulaException">The text is not a formula of these names; says where.</exception>
    public static Formula Parse(string text, IReadOnlyList<string> names)
    {
        ArgumentNullException.ThrowIfNull(text);
        if (text.Length > LongestText)
            throw new FormulaException(LongestText, $"a formula of {text.Length} characters", $"it has at most {LongestText}", "split it into several inputs");
        (FormulaNode root, IReadOnlySet<int> used) = FormulaParser.Parse(text, names);
        return new Formula(text, names, root, used);
    }

    /// <summary>Whether the formula mentions an input at all.</summary>
    public bool Uses(string name)
    {
        for (int i = 0; i < Names.Count; i++)
        {
            if (Names[i] == name)
                return _used.Contains(i);
        }

        return false;
    }

    /// <summary>The value; not a number where it has none, as the root of a negative number.</summary>
    /// <param name="values">One for each of <see cref="Names"/>.</param>
    public double Evaluate(ReadOnlySpan<double> values) => _root.Evaluate(values);

    /// <summary>The value with its derivatives by one input, or by a pair of different inputs.</summary>
    public Jet Differentiate(ReadOnlySpan<double> values, int first, int? second = null)
    {
        Jet[] inputs = new Jet[values.Length];
        for (int i = 0; i < inputs.Length; i++)
            inputs[i] = i == first || i == second ? Jet.Variable(values[i], i == first) : Jet.Constant(values[i]);
        return _root.Differentiate(inputs);
    }
}
