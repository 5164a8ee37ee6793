namespace Barostep.Evaluation.Formulas;

/// <summary>A part of a formula, evaluated with plain numbers or with derivatives.</summary>
internal abstract record FormulaNode
{
    public abstract double Evaluate(ReadOnlySpan<double> inputs);

    public abstract Jet Differentiate(ReadOnlySpan<Jet> inputs);

    internal sealed record Number(double Value) : FormulaNode
    {
        public override double Evaluate(ReadOnlySpan<double> inputs) => Value;

        public override Jet Differentiate(ReadOnlySpan<Jet> inputs) => Jet.Constant(Value);
    }

    internal sealed record Input(int Index) : FormulaNode
    {
        public override double Evaluate(ReadOnlySpan<double> inputs) => inputs[Index];

        public override Jet Differentiate(ReadOnlySpan<Jet> inputs) => inputs[Index];
    }

    internal sealed record Negative(FormulaNode Of) : FormulaNode
    {
        public override double Evaluate(ReadOnlySpan<double> inputs) => -Of.Evaluate(inputs);

        public override Jet Differentiate(ReadOnlySpan<Jet> inputs) => -Of.Differentiate(inputs);
    }

    internal sealed record Call(Func<double, double> Plain, Func<Jet, Jet> Differentiated, FormulaNode Argument) : FormulaNode
    {
        public override double Evaluate(ReadOnlySpan<double> inputs) => Plain(Argument.Evaluate(inputs));

        public override Jet Differentiate(ReadOnlySpan<Jet> inputs) => Differentiated(Argument.Differentiate(inputs));
    }

    internal sealed record Operation(char Sign, FormulaNode Left, FormulaNode Right) : FormulaNode
    {
        public override double Evaluate(ReadOnlySpan<double> inputs)
        {
            double left = Left.Evaluate(inputs);
            double right = Right.Evaluate(inputs);
            return Sign switch
            {
                '+' => left + right,
                '-' => left - right,
                '*' => left * right,
                '/' => left / right,
                '^' => Math.Pow(left, right),
                _ => throw Unknown(),
            };
        }

        public override Jet Differentiate(ReadOnlySpan<Jet> inputs)
        {
            Jet left = Left.Differentiate(inputs);
            Jet right = Right.Differentiate(inputs);
            return Sign switch
            {
                '+' => left + right,
                '-' => left - right,
                '*' => left * right,
                '/' => left / right,
                '^' => Jet.Power(left, right),
                _ => throw Unknown(),
            };
        }

        private InvalidOperationException Unknown() => new($"operator {Sign} is not known here");
    }
}
