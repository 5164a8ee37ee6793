namespace Barostep.Evaluation.Formulas;

/// <summary>The functions of one argument that a formula can call; angles are in radians.</summary>
internal static class FormulaFunction
{
    private static readonly Dictionary<string, (Func<double, double> Plain, Func<Jet, Jet> Differentiated)> _all = new(StringComparer.Ordinal)
    {
        ["sqrt"] = (Math.Sqrt, Jet.Sqrt),
        ["exp"] = (Math.Exp, Jet.Exp),
        ["ln"] = (Math.Log, Jet.Ln),
        ["log10"] = (Math.Log10, x => Jet.Ln(x) * Jet.Constant(1 / Math.Log(10))),
        ["sin"] = (Math.Sin, Jet.Sin),
        ["cos"] = (Math.Cos, Jet.Cos),
        ["tan"] = (Math.Tan, Jet.Tan),
        ["asin"] = (Math.Asin, Jet.Asin),
        ["acos"] = (Math.Acos, x => Jet.Constant(Math.PI / 2) - Jet.Asin(x)),
        ["atan"] = (Math.Atan, Jet.Atan),
        ["sinh"] = (Math.Sinh, x => (Jet.Exp(x) - Jet.Exp(-x)) * Jet.Constant(0.5)),
        ["cosh"] = (Math.Cosh, x => (Jet.Exp(x) + Jet.Exp(-x)) * Jet.Constant(0.5)),
        ["tanh"] = (Math.Tanh, Jet.Tanh),
        ["abs"] = (Math.Abs, Jet.Abs),
    };

    public static IEnumerable<string> Names => _all.Keys;

    public static FormulaNode? Call(string name, FormulaNode argument) => _all.TryGetValue(name, out (Func<double, double> Plain, Func<Jet, Jet> Differentiated) function)
        ? new FormulaNode.Call(function.Plain, function.Differentiated, argument)
        : null;
}
