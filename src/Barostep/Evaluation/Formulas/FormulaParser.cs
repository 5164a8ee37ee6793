using Barostep.Configuration;

namespace Barostep.Evaluation.Formulas;

/// <summary>Reads a formula by recursive descent. ^ binds tightest and from the right, then the sign, then * and /, then + and -.</summary>
/// <remarks>sum = product {(+|-) product}; product = signed {(*|/) signed}; signed = (+|-) signed | power; power = atom [^ signed].</remarks>
internal sealed class FormulaParser
{
    // Deeper formulas are not written by people, and each level needs stack.
    private const int DeepestNesting = 100;

    private readonly List<FormulaToken> _tokens;
    private readonly IReadOnlyList<string> _names;
    private readonly HashSet<int> _used = [];
    private int _next;
    private int _depth;

    private FormulaParser(string text, IReadOnlyList<string> names)
    {
        _tokens = FormulaToken.Split(text);
        _names = names;
    }

    private FormulaToken Current => _tokens[_next];

    /// <exception cref="FormulaException">The text is not a formula of these names.</exception>
    public static (FormulaNode Root, IReadOnlySet<int> Used) Parse(string text, IReadOnlyList<string> names)
    {
        FormulaParser parser = new(text, names);
        FormulaNode root = parser.Sum();
        if (parser.Current.Is(')'))
            throw parser.Wrong("a closing parenthesis that was not opened", "parentheses come in pairs", "delete it or open it before");
        if (parser.Current.Kind != FormulaTokenKind.End)
            throw parser.Wrong($"'{parser.Current.Text}' where an operator belongs", "two values are joined by + - * / or ^", $"write for example *{parser.Current.Text}");
        return (root, parser._used);
    }

    private FormulaNode Sum()
    {
        if (++_depth > DeepestNesting)
            throw Wrong("one parenthesis too many", $"a formula nests at most {DeepestNesting} deep", "split it into several inputs");
        FormulaNode left = Product();
        while (Current.Is('+') || Current.Is('-'))
            left = new FormulaNode.Operation(Take().Text[0], left, Product());
        _depth--;
        return left;
    }

    private FormulaNode Product()
    {
        FormulaNode left = Signed();
        while (Current.Is('*') || Current.Is('/'))
            left = new FormulaNode.Operation(Take().Text[0], left, Signed());
        return left;
    }

    private FormulaNode Signed()
    {
        bool negative = false;
        while (Current.Is('+') || Current.Is('-'))
            negative ^= Take().Is('-');
        FormulaNode power = Power();
        return negative ? new FormulaNode.Negative(power) : power;
    }

    private FormulaNode Power()
    {
        FormulaNode left = Atom();
        if (!Current.Is('^'))
            return left;
        FormulaToken sign = Take();
        if (++_depth > DeepestNesting)
            throw new FormulaException(sign.Position, "one power too many", $"a formula nests at most {DeepestNesting} deep", "split it into several inputs");
        FormulaNode right = Signed();
        _depth--;
        return new FormulaNode.Operation('^', left, right);
    }

    private FormulaNode Atom()
    {
        FormulaToken token = Current;
        switch (token.Kind)
        {
            case FormulaTokenKind.Number:
                Take();
                return new FormulaNode.Number(token.Value);
            case FormulaTokenKind.Name:
                Take();
                return Current.Is('(') ? Called(token) : Named(token);
            case FormulaTokenKind.Sign when token.Is('('):
                return Parenthesised(token);
            case FormulaTokenKind.Sign:
                throw Wrong($"'{token.Text}' where a value belongs", "an operator stands between two values", "write a number, a name or ( before it or delete it");
            case FormulaTokenKind.End:
                throw Wrong("the formula ends where a value belongs", "an operator stands between two values", "write a number, a name or (");
            default:
                throw new InvalidOperationException($"token {token.Kind} is not known here");
        }
    }

    private FormulaNode Called(FormulaToken name)
    {
        FormulaNode argument = Parenthesised(Current);
        return FormulaFunction.Call(name.Text, argument) ?? throw new FormulaException(
            name.Position,
            _names.Contains(name.Text) ? $"a parenthesis directly after the input {name.Text}" : $"unknown function {name.Text}",
            $"the functions are {string.Join(", ", FormulaFunction.Names)}",
            _names.Contains(name.Text) ? $"write {name.Text}*( to multiply" : MeantOr(name.Text, FormulaFunction.Names, "use one of these"));
    }

    private FormulaNode Named(FormulaToken name)
    {
        for (int i = 0; i < _names.Count; i++)
        {
            if (_names[i] != name.Text)
                continue;
            _used.Add(i);
            return new FormulaNode.Input(i);
        }

        if (name.Text == Formula.Pi)
            return new FormulaNode.Number(Math.PI);
        throw FormulaFunction.Names.Contains(name.Text)
            ? new FormulaException(name.Position, $"{name.Text} without an argument", "a function is followed by its argument in parentheses", $"write {name.Text}(...)")
            : new FormulaException(
                name.Position,
                $"{name.Text} is no input",
                _names.Count == 0 ? "every name is an input, and there are none" : $"the inputs are {string.Join(", ", _names)}",
                MeantOr(name.Text, _names, $"add an input {name.Text}"));
    }

    private FormulaNode Parenthesised(FormulaToken opening)
    {
        Take();
        FormulaNode inner = Sum();
        if (!Current.Is(')'))
        {
            throw Current.Kind == FormulaTokenKind.End
                ? new FormulaException(opening.Position, "a parenthesis that is not closed", "parentheses come in pairs", "close it")
                : Wrong($"'{Current.Text}' where an operator or ) belongs", "two values are joined by + - * / or ^", "write the operator");
        }

        Take();
        return inner;
    }

    // One letter is one keystroke away from every other: that is no hint.
    private static string MeantOr(string written, IEnumerable<string> known, string otherwise) =>
        written.Length > 1 && NearestName.Of(written, known) is { } near ? $"did you mean {near}" : otherwise;

    private FormulaToken Take() => _tokens[_next++];

    private FormulaException Wrong(string found, string rule, string instead) => new(Current.Position, found, rule, instead);
}
