using Barostep.Daemon.Sweeps;
using Barostep.Evaluation;

namespace Barostep.Tests.EndToEnd;

[Collection(RealPrograms.Name)]
public sealed class InjectedErrorTests : IDisposable
{
    private readonly Workshop _workshop = new();

    public void Dispose() => _workshop.Dispose();

    [Theory]
    [InlineData(0.20, -0.35)]
    [InlineData(-0.10, 0.15)]
    public void A_transmitter_s_zero_and_span_error_come_out_within_three_standard_uncertainties(double zeroPercent, double spanPercent)
    {
        // A straight device: what hysteresis and bow add to a fitted line is theirs and no error of the fit.
        string bench = _workshop.BenchFile(
            "demo",
            ("zero_percent = 0.08", FormattableString.Invariant($"zero_percent = {zeroPercent:0.00}")),
            ("span_percent = -0.12", FormattableString.Invariant($"span_percent = {spanPercent:0.00}")),
            ("hysteresis_percent = 0.05", "hysteresis_percent = 0"),
            ("linearity_percent = 0.02", "linearity_percent = 0"));
        SweepJob job = VirtualRun.Job(_workshop, "demo", "transmitter-16bar", "five-point");
        ErrorLine line = VirtualRun.Of(job, bench).Line!;

        // The reference's own offset and gain pass into both figures; its certificate's standard uncertainty covers them.
        double reference = job.Bench.Reference.StandardUncertaintyPascals / job.Device.SpanPascals;
        Within(zeroPercent / 100, line.ZeroErrorOfSpan, line.ZeroUncertaintyOfSpan, reference);
        Within(spanPercent / 100, line.SpanErrorOfSpan, line.SpanUncertaintyOfSpan, reference);
        // And that is far less than what was injected: the check can fail.
        Assert.True(reference < 1e-4);
    }

    private static void Within(double injected, double found, double? ofFit, double ofReference)
    {
        double standard = Math.Sqrt((ofFit!.Value * ofFit.Value) + (ofReference * ofReference));
        Assert.True(Math.Abs(found - injected) <= 3 * standard, $"found {found:P4} for {injected:P4}, u = {standard:P4}");
    }
}
