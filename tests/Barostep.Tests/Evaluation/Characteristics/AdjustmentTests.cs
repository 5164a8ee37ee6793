using Barostep.Evaluation;
using Barostep.Evaluation.Characteristics;
using Barostep.Records;
using Barostep.Tests.Records;
using CsCheck;

namespace Barostep.Tests.Evaluation.Characteristics;

public sealed class AdjustmentTests
{
    [Fact]
    public void A_shifted_device_needs_its_zero_and_a_steep_one_its_span_too()
    {
        AdjustmentAdvice shifted = AdjustmentAdvice.For(Errors(share => 0.008 + (0.0002 * share)));
        AdjustmentAdvice steep = AdjustmentAdvice.For(Errors(share => 0.001 + (0.012 * share)));
        AdjustmentAdvice bent = AdjustmentAdvice.For(Errors(share => 0.1 * share * (1 - share)));

        Assert.Equal(-0.0081, shifted.ZeroOnly.Zero, 1e-12);
        Assert.StartsWith("shift the zero by -0.810 % of span; the largest error left is 0.010 %", shifted.InWords(0.005), StringComparison.Ordinal);
        Assert.Equal((-0.001, -0.012), (Math.Round(steep.ZeroAndSpan!.Zero, 12), Math.Round(steep.ZeroAndSpan.Span, 12)));
        Assert.StartsWith("shift the zero by -0.100 % and the span by -1.200 % of span", steep.InWords(0.005), StringComparison.Ordinal);
        Assert.StartsWith("no adjustment", bent.InWords(0.005), StringComparison.Ordinal);
        Assert.StartsWith("inside ±1.00 % of span as it is", shifted.InWords(0.01), StringComparison.Ordinal);
    }

    [Fact]
    public void After_the_trim_the_largest_error_is_the_one_foretold_and_no_other_trim_is_better() =>
        Gen.Select(Gen.Double[-0.01, 0.01].Array[5], Gen.Double[-0.002, 0.002], Gen.Double[-0.002, 0.002]).Sample((values, zero, span) =>
        {
            SeriesError[] errors = Errors(share => values[(int)Math.Round(share * 4)]);
            AdjustmentAdvice advice = AdjustmentAdvice.For(errors);
            Trim trim = advice.ZeroAndSpan!;
            Assert.Equal(trim.LargestErrorAfter, Largest(errors, trim), 1e-12);
            Assert.Equal(advice.ZeroOnly.LargestErrorAfter, Largest(errors, advice.ZeroOnly), 1e-12);
            Assert.True(trim.LargestErrorAfter <= Largest(errors, new Trim(trim.Zero + zero, trim.Span + span, 0)) + 1e-12);
            Assert.True(trim.LargestErrorAfter <= advice.ZeroOnly.LargestErrorAfter + 1e-12);
            Assert.True(advice.ZeroOnly.LargestErrorAfter <= advice.LargestErrorNow + 1e-12);
        });

    [Fact]
    public void As_found_and_as_left_are_compared_point_by_point()
    {
        RunResult found = Run(share => 0.006 + (0.002 * share));
        RunResult left = Run(share => 0.0002 * share);
        AsFoundAsLeft comparison = AsFoundAsLeft.Compare(found, left);

        Assert.Equal((Conformity.Failed, Conformity.Passed), (comparison.Found, comparison.Left));
        Assert.True(comparison.PastReadingsAreInDoubt);
        Assert.Equal(0.008, comparison.LargestFound, 1e-9);
        Assert.Equal(0.0002, comparison.LargestLeft, 1e-9);
        Assert.Equal(12, comparison.Changes.Count);
        Assert.All(comparison.Changes, change => Assert.Equal(-0.006 - (0.0018 * change.NominalOfSpan), change.ChangeOfSpan, 1e-9));
    }

    [Fact]
    public void Rejects_two_different_devices()
    {
        RunResult other = RunEvaluation.Evaluate(SampleRuns.Run(SampleRuns.Transmitter with { SerialNumber = "other" }, SampleRuns.UpAndDown, (_, _, _) => 0));

        Assert.Contains("other", Assert.Throws<ArgumentException>(() => AsFoundAsLeft.Compare(Run(_ => 0), other)).Message, StringComparison.Ordinal);
    }

    [Theory]
    // EURAMET cg-17: basic above 0.2 % of span; standard and comprehensive from memory.
    [InlineData(0.003, "basic", 6)]
    [InlineData(0.002, "standard", 11)]
    [InlineData(0.0005, "standard", 11)]
    [InlineData(0.0004, "comprehensive", 11)]
    public void The_effort_follows_the_uncertainty_that_is_wanted(double uncertainty, string name, int points)
    {
        CalibrationEffort effort = CalibrationEffort.For(uncertainty);

        Assert.Equal((name, points), (effort.Name, effort.Points));
        Assert.Equal(Math.Max(0.0001, effort.LeastUncertaintyOfSpan), effort.Reported(0.0001));
    }

    private static RunResult Run(Func<double, double> error) =>
        RunEvaluation.Evaluate(SampleRuns.Run(SampleRuns.Transmitter, SampleRuns.UpAndDown, (_, _, share) => error(share)));

    private static SeriesError[] Errors(Func<double, double> error) =>
        [.. new[] { 0, 0.25, 0.5, 0.75, 1 }.Select(share => new SeriesError(1, SeriesDirection.Ascending, share, error(share)))];

    private static double Largest(SeriesError[] errors, Trim trim) =>
        errors.Max(error => Math.Abs(trim.ErrorAfter(error.NominalOfSpan, error.ErrorOfSpan)));
}
