using Barostep.Evaluation;
using Barostep.Evaluation.Devices;

namespace Barostep.Tests.Evaluation.Devices;

public sealed class DeviceClassTests
{
    [Fact]
    public void EN_837_has_seven_classes()
    {
        // EN 837-1, from memory; a published abstract confirms ±0.6 % of span for class 0.6.
        Assert.Equal([0.1, 0.25, 0.6, 1, 1.6, 2.5, 4], DialGaugeClass.All.Select(one => one.PercentOfSpan));
        // From memory, less sure.
        Assert.Equal([10, 10, 10, 5, 5, 5, 4], DialGaugeClass.All.Select(one => one.LeastPoints));
        Assert.Equal(0.006, DialGaugeClass.Find(0.6)!.ErrorOfSpan, 1e-15);
        Assert.Null(DialGaugeClass.Find(0.5));
    }

    [Theory]
    [InlineData(0.0059, 0, 0.6)]
    [InlineData(-0.0061, 0, 1.0)]
    [InlineData(0.001, 0.02, 2.5)]
    [InlineData(0.05, 0, null)]
    public void The_best_class_holds_error_and_hysteresis(double error, double hysteresis, double? percent) =>
        Assert.Equal(percent, DialGaugeClass.BestFor(error, hysteresis)?.PercentOfSpan);

    [Theory]
    // ASME B40.100: ±2/±1/±2 % for grade A in a published article; the others from memory.
    [InlineData("4A", 0.1, 0.1)]
    [InlineData("3A", 0.25, 0.25)]
    [InlineData("2A", 0.5, 0.5)]
    [InlineData("1A", 1, 1)]
    [InlineData("A", 2, 1)]
    [InlineData("B", 3, 2)]
    [InlineData("C", 4, 3)]
    [InlineData("D", 5, 5)]
    public void ASME_grades_are_wider_in_the_outer_quarters(string name, double outer, double middle)
    {
        AsmeGrade grade = AsmeGrade.Find(name)!;

        foreach (double share in new[] { 0, 0.24, 0.76, 1 })
            Assert.Equal(outer / 100, grade.ErrorOfSpan(share), 1e-15);
        foreach (double share in new[] { 0.25, 0.5, 0.75, 0.1 + 0.15 })
            Assert.Equal(middle / 100, grade.ErrorOfSpan(share), 1e-15);
    }

    [Theory]
    // Definitions: per cent of span, linear mA, square-root mA to about their sixth decimal.
    [InlineData(0, 4, 4)]
    [InlineData(6.25, 5, 8)]
    [InlineData(10, 5.6, 9.059645)]
    [InlineData(25, 8, 12)]
    [InlineData(50, 12, 15.313708)]
    [InlineData(75, 16, 17.856406)]
    [InlineData(100, 20, 20)]
    public void A_loop_is_linear_or_extracts_the_root(double percent, double linear, double root)
    {
        SignalRange loop = SignalRange.Loop4To20;
        SignalTransfer.Linear proportional = new();
        SignalTransfer.SquareRoot extracted = new();

        Assert.Equal(linear, loop.SignalAt(proportional.SignalShare(percent / 100)) * 1000, 1e-9);
        Assert.Equal(root, loop.SignalAt(extracted.SignalShare(percent / 100)) * 1000, 1e-6);
        Assert.Equal(percent / 100, proportional.PressureShare(loop.ShareOf(linear / 1000)), 1e-9);
        Assert.Equal(percent / 100, extracted.PressureShare(loop.ShareOf(root / 1000)), 1e-6);
    }

    [Fact]
    public void A_root_has_no_value_below_its_range()
    {
        Assert.Equal(0, new SignalTransfer.SquareRoot().SignalShare(-0.01));
        Assert.Equal(0, new SignalTransfer.SquareRoot().PressureShare(-0.01));
    }

    [Fact]
    public void A_table_transfers_both_ways()
    {
        SignalTransfer.Table table = new([(0, 0), (0.5, 0.8), (1, 1)]);

        Assert.Equal(0.4, table.SignalShare(0.25), 1e-12);
        Assert.Equal(0.25, table.PressureShare(0.4), 1e-12);
        Assert.Throws<ArgumentException>(() => new SignalTransfer.Table([(0, 0), (0.5, 0.8), (1, 0.7)]));
        Assert.Throws<ArgumentException>(() => new SignalTransfer.Table([(0, 0)]));
    }

    [Theory]
    // NAMUR NE 43, levels from four public implementations.
    [InlineData(3.6, LoopSignal.Fault)]
    [InlineData(3.7, LoopSignal.Saturated)]
    [InlineData(3.8, LoopSignal.Measuring)]
    [InlineData(20.5, LoopSignal.Measuring)]
    [InlineData(20.8, LoopSignal.Saturated)]
    [InlineData(21.0, LoopSignal.Fault)]
    public void Only_a_live_zero_loop_tells_a_fault(double milliamperes, LoopSignal signal)
    {
        Assert.Equal(signal, SignalRange.Loop4To20.Tells(milliamperes / 1000));
        Assert.Equal(LoopSignal.Measuring, SignalRange.Current0To20.Tells(milliamperes / 1000));
    }
}
