namespace Barostep.Evaluation.Formulas;

/// <summary>A formula that cannot be read, told so that its author can put it right.</summary>
/// <param name="position">Where, in characters from the formula's start, counted from 0.</param>
/// <param name="found">What is there.</param>
/// <param name="rule">What the rule is.</param>
/// <param name="instead">What to write instead.</param>
public sealed class FormulaException(int position, string found, string rule, string instead)
    : Exception($"character {position + 1}: {found}; {rule}; {instead}")
{
    public int Position { get; } = position;

    public string Found { get; } = found;

    public string Rule { get; } = rule;

    public string Instead { get; } = instead;
}
