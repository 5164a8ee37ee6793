using Barostep.Evaluation;
using Barostep.Evaluation.Characteristics;
using Barostep.Records;
using Barostep.Tests.Records;
using CsCheck;

namespace Barostep.Tests.Evaluation.Characteristics;

public sealed class MeasuredErrorsTests
{
    // Two cycles over three points; by hand below.
    private static readonly SeriesError[] _errors =
    [
        Up(1, 0, 0.001), Up(1, 0.5, 0.002), Up(1, 1, 0.004), Down(1, 0.5, 0.003), Down(1, 0, 0.001),
        Up(2, 0, 0.000), Up(2, 0.5, 0.001), Up(2, 1, 0.006), Down(2, 0.5, 0.0035), Down(2, 0, -0.002),
    ];

    [Fact]
    public void Inaccuracy_hysteresis_and_repeatability_are_those_by_hand()
    {
        MeasuredErrors errors = MeasuredErrors.Of(_errors);

        Assert.Equal(0.006, errors.LargestPositive, 1e-15);
        Assert.Equal(-0.002, errors.LargestNegative, 1e-15);
        Assert.Equal(0.0025, errors.Hysteresis!.Value, 1e-15);
        Assert.Equal(0.003, errors.Repeatability!.Value, 1e-15);
        Assert.Equal(0.006, errors.Largest, 1e-15);
        // 43 CFR 3175.135 (b), the formula from memory: √(E² + H² + R²).
        Assert.Equal(Math.Sqrt(36 + 6.25 + 9) * 1e-3, errors.Together, 1e-12);
        Assert.Equal(0.0015, errors.Means[1].Up!.Value, 1e-15);
        Assert.Equal(0.00325, errors.Means[1].Down!.Value, 1e-15);
        Assert.Null(errors.Means[2].Down);
        Assert.Equal(0, errors.Means[0].Mean, 1e-15);
        Assert.Equal(0.005, errors.Means[2].Mean, 1e-15);
    }

    [Fact]
    public void The_order_of_the_readings_changes_nothing() =>
        Gen.Shuffle(_errors).Sample(shuffled =>
        {
            MeasuredErrors a = MeasuredErrors.Of(_errors);
            MeasuredErrors b = MeasuredErrors.Of(shuffled);
            Assert.Equal((a.LargestPositive, a.LargestNegative, a.Hysteresis, a.Repeatability), (b.LargestPositive, b.LargestNegative, b.Hysteresis, b.Repeatability));
            Assert.All(a.Means.Zip(b.Means), pair => Assert.Equal(pair.First.Mean, pair.Second.Mean, 1e-15));
        });

    [Fact]
    public void A_run_gives_its_errors_and_its_linearity()
    {
        // 1 ‰ of span too high in the middle, right at both ends.
        RunResult result = RunEvaluation.Evaluate(SampleRuns.Run(SampleRuns.Transmitter, SampleRuns.UpAndDown, (_, _, share) => 0.004 * share * (1 - share)));
        MeasuredErrors errors = MeasuredErrors.Of(result);

        Assert.Equal(0.004 * 0.24, errors.Largest, 1e-9);
        Assert.Equal(0.004 * 0.24, errors.Linearity(LineKind.TerminalBased).LargestDeparture, 1e-9);
        Assert.Equal(0.004 * 0.12, Math.Abs(errors.Linearity(LineKind.Independent).LargestDeparture), 1e-9);
        Assert.Equal(0, errors.Hysteresis!.Value, 1e-9);
        Assert.Null(errors.Repeatability);
    }

    [Fact]
    public void The_words_below_a_table_tell_linearity_and_advice()
    {
        using StringWriter words = new() { NewLine = "\n" };
        CharacteristicText.Write(words, RunEvaluation.Evaluate(SampleRuns.Run(SampleRuns.Transmitter, SampleRuns.UpAndDown, (_, _, share) => 0.006 + (0.004 * share * (1 - share)))));

        Assert.Equal(
            // Zero-based by hand: 0.096 − 0.4·m = m at 40 % and 100 %, so m = 0.0686.
            "\nlinearity   terminal-based 0.096 %, zero-based 0.069 %, independent 0.048 % of span\n"
            + "adjustment  shift the zero by -0.648 % of span; the largest error left is 0.048 %, inside ±0.500 %\n",
            words.ToString());
    }

    private static SeriesError Up(int cycle, double nominal, double error) => new(cycle, SeriesDirection.Ascending, nominal, error);

    private static SeriesError Down(int cycle, double nominal, double error) => new(cycle, SeriesDirection.Descending, nominal, error);
}
