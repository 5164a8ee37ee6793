using System.Globalization;

namespace Barostep.Evaluation.Formulas;

internal enum FormulaTokenKind
{
    Number,
    Name,

    /// <summary>One character: an operator or a parenthesis.</summary>
    Sign,
    End,
}

/// <summary>A word of a formula with its place.</summary>
internal readonly record struct FormulaToken(FormulaTokenKind Kind, string Text, double Value, int Position)
{
    public bool Is(char sign) => Kind == FormulaTokenKind.Sign && Text[0] == sign;

    /// <exception cref="FormulaException">A character or a number cannot be read.</exception>
    public static List<FormulaToken> Split(string text)
    {
        List<FormulaToken> tokens = [];
        int at = 0;
        while (at < text.Length)
        {
            if (char.IsWhiteSpace(text[at]))
            {
                at++;
                continue;
            }

            FormulaToken token = At(text, at);
            tokens.Add(token);
            at += token.Text.Length;
        }

        tokens.Add(new FormulaToken(FormulaTokenKind.End, string.Empty, 0, text.Length));
        return tokens;
    }

    private static FormulaToken At(string text, int at)
    {
        char first = text[at];
        if (char.IsAsciiDigit(first) || first == '.')
            return Number(text, at);
        if (char.IsAsciiLetter(first) || first == '_')
            return new FormulaToken(FormulaTokenKind.Name, text[at..NameEnd(text, at)], 0, at);
        if ("+-*/^()".Contains(first, StringComparison.Ordinal))
            return new FormulaToken(FormulaTokenKind.Sign, first.ToString(), 0, at);
        string shown = char.IsControl(first) ? "a control character" : $"'{first}'";
        throw first == ','
            ? new FormulaException(at, "a comma", "the decimal sign is a point, and every function takes one argument", "write a point or delete it")
            : new FormulaException(at, shown, "a formula has numbers, names, + - * / ^ and parentheses", "delete it or write one of these");
    }

    private static FormulaToken Number(string text, int at)
    {
        int end = at;
        while (end < text.Length && (char.IsAsciiDigit(text[end]) || text[end] == '.'))
            end++;
        if (end < text.Length && text[end] is 'e' or 'E')
        {
            int exponent = end + 1;
            if (exponent < text.Length && text[exponent] is '+' or '-')
                exponent++;
            if (exponent < text.Length && char.IsAsciiDigit(text[exponent]))
            {
                end = exponent;
                while (end < text.Length && char.IsAsciiDigit(text[end]))
                    end++;
            }
        }

        string written = text[at..end];
        if (end < text.Length && (char.IsAsciiLetter(text[end]) || text[end] == '_'))
            throw new FormulaException(end, $"'{text[end]}' directly after {written}", "a multiplication is written out and a name begins with a letter", $"write {written}*{text[end..NameEnd(text, end)]}");
        return double.TryParse(written, NumberStyles.Float, CultureInfo.InvariantCulture, out double value) && double.IsFinite(value)
            ? new FormulaToken(FormulaTokenKind.Number, written, value, at)
            : throw new FormulaException(at, written, "a number has digits, at most one point and a power of ten that a double can hold", "write for example 1.2e-3");
    }

    private static int NameEnd(string text, int at)
    {
        while (at < text.Length && (char.IsAsciiLetterOrDigit(text[at]) || text[at] == '_'))
            at++;
        return at;
    }
}
