using Barostep.Evaluation.Formulas;
using CsCheck;

namespace Barostep.Tests.Evaluation.Formulas;

public sealed class FormulaTests
{
    [Theory]
    [InlineData("1 + 2*3", 7)]
    [InlineData("(1 + 2)*3", 9)]
    [InlineData("2^3^2", 512)]
    [InlineData("-2^2", -4)]
    [InlineData("2^-1", 0.5)]
    [InlineData("8/4/2", 1)]
    [InlineData("1 - 2 - 3", -4)]
    [InlineData("--3", 3)]
    [InlineData("1.5e-3*.2E+1", 0.003)]
    [InlineData("sqrt(16) + ln(exp(2)) + log10(1000)", 9)]
    [InlineData("sin(pi/2) + cos(0) + tan(0)", 2)]
    [InlineData("4*atan(1) - pi", 0)]
    [InlineData("asin(1) - acos(0)", 0)]
    [InlineData("cosh(1)^2 - sinh(1)^2", 1)]
    [InlineData("tanh(0) + abs(-3)", 3)]
    public void Arithmetic_is_as_on_paper(string text, double value) =>
        Assert.Equal(value, Formula.Parse(text, []).Evaluate([]), 1e-12);

    [Theory]
    [InlineData("a + ", 4, "ends where a value belongs")]
    [InlineData("a + * b", 4, "'*' where a value belongs")]
    [InlineData("(a + b", 0, "a parenthesis that is not closed")]
    [InlineData("a + b)", 5, "a closing parenthesis that was not opened")]
    [InlineData("a b", 2, "'b' where an operator belongs")]
    [InlineData("2a", 1, "directly after 2")]
    [InlineData("a + bet", 4, "bet is no input")]
    [InlineData("sqr(a)", 0, "unknown function sqr")]
    [InlineData("a + sqrt", 4, "sqrt without an argument")]
    [InlineData("a(2)", 0, "a parenthesis directly after the input a")]
    [InlineData("a, b", 1, "a comma")]
    [InlineData("a + 1.2.3", 4, "1.2.3")]
    [InlineData("a # b", 2, "'#'")]
    [InlineData("1e999", 0, "1e999")]
    [InlineData("", 0, "ends where a value belongs")]
    public void What_is_wrong_is_told_at_its_character(string text, int position, string found)
    {
        FormulaException wrong = Assert.Throws<FormulaException>(() => Formula.Parse(text, ["a", "b"]));

        Assert.Equal(position, wrong.Position);
        Assert.Contains(found, wrong.Found, StringComparison.Ordinal);
        Assert.NotEmpty(wrong.Rule);
        Assert.NotEmpty(wrong.Instead);
    }

    [Fact]
    public void A_name_that_is_nearly_right_is_suggested() =>
        Assert.Equal("did you mean rho_air", Assert.Throws<FormulaException>(() => Formula.Parse("2*rho_ari", ["rho_air"])).Instead);

    [Theory]
    [InlineData('(', "1", ')')]
    [InlineData('-', "1", ' ')]
    public void No_text_however_deep_overflows_the_stack(char opening, string inner, char closing)
    {
        string text = new string(opening, 999) + inner + new string(closing, 999);
        try
        {
            Assert.Equal(-1, Formula.Parse(text, []).Evaluate([]));
        }
        catch (FormulaException tooDeep)
        {
            Assert.Contains("nests at most", tooDeep.Rule, StringComparison.Ordinal);
        }
    }

    [Fact]
    public void Any_text_is_either_a_formula_or_a_located_error() =>
        Gen.Char["ab12.e+-*/^() sqrtlnpi,#"].Array[0, 30].Sample(characters =>
        {
            string text = new(characters);
            try
            {
                Formula.Parse(text, ["a", "b"]).Evaluate([1, 2]);
            }
            catch (FormulaException wrong)
            {
                Assert.InRange(wrong.Position, 0, text.Length);
            }
        });

    [Fact]
    public void It_knows_which_inputs_it_uses()
    {
        Formula formula = Formula.Parse("a + 0*c", ["a", "b", "c"]);

        Assert.True(formula.Uses("a"));
        Assert.False(formula.Uses("b"));
        Assert.True(formula.Uses("c"));
    }
}
