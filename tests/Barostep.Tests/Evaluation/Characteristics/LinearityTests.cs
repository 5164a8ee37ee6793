using Barostep.Evaluation.Characteristics;
using CsCheck;

namespace Barostep.Tests.Evaluation.Characteristics;

public sealed class LinearityTests
{
    private static readonly double[] _x = [0, 1, 2, 3, 4];

    [Fact]
    public void A_parabola_departs_as_by_hand()
    {
        // y = x²/4 from 0 to 4. Through the ends y = x: −1 at x = 2. Free line y = x − 1/2: ±1/2.
        double[] y = [.. _x.Select(x => x * x / 4)];
        Linearity ends = Linearity.Of(LineKind.TerminalBased, _x, y);
        Linearity free = Linearity.Of(LineKind.Independent, _x, y);
        Linearity zero = Linearity.Of(LineKind.ZeroBased, _x, y);

        Assert.Equal((0, 1), (ends.Intercept, ends.Slope));
        Assert.Equal(-1, ends.LargestDeparture, 1e-12);
        Assert.Equal((-0.5, 1), (free.Intercept, free.Slope));
        Assert.Equal(0.5, Math.Abs(free.LargestDeparture), 1e-12);
        // Through 0 the best slope makes 4 − 4s = 2s − 1 (at x = 4 and 2): s = 5/6, departure 2/3.
        Assert.Equal(5.0 / 6, zero.Slope, 1e-12);
        Assert.Equal(2.0 / 3, Math.Abs(zero.LargestDeparture), 1e-12);
    }

    [Fact]
    public void No_line_of_its_kind_departs_less() =>
        Gen.Select(Gen.Double[-1, 1].Array[5], Gen.Double[-0.3, 0.3], Gen.Double[-0.3, 0.3]).Sample((noise, shift, tilt) =>
        {
            double[] y = [.. _x.Select((x, i) => x + noise[i])];
            Linearity free = Linearity.Of(LineKind.Independent, _x, y);
            Linearity zero = Linearity.Of(LineKind.ZeroBased, _x, y);
            Linearity ends = Linearity.Of(LineKind.TerminalBased, _x, y);

            Assert.True(Math.Abs(free.LargestDeparture) <= Largest(y, free.Intercept + shift, free.Slope + tilt) + 1e-12);
            Assert.True(Math.Abs(zero.LargestDeparture) <= Largest(y, zero.Intercept, zero.Slope + tilt) + 1e-12);
            Assert.True(Math.Abs(free.LargestDeparture) <= Math.Abs(zero.LargestDeparture) + 1e-12);
            Assert.True(Math.Abs(zero.LargestDeparture) <= Math.Abs(ends.LargestDeparture) + 1e-12);
        });

    [Fact]
    public void The_order_of_the_points_changes_nothing() =>
        Gen.Shuffle(Enumerable.Range(0, 5).ToArray()).Sample(order =>
        {
            double[] y = [0.1, 0.9, 2.2, 2.9, 4.3];
            foreach (LineKind kind in Enum.GetValues<LineKind>())
            {
                Linearity sorted = Linearity.Of(kind, _x, y);
                Linearity shuffled = Linearity.Of(kind, [.. order.Select(i => _x[i])], [.. order.Select(i => y[i])]);
                Assert.Equal(sorted.Slope, shuffled.Slope, 1e-12);
                Assert.Equal(Math.Abs(sorted.LargestDeparture), Math.Abs(shuffled.LargestDeparture), 1e-12);
            }
        });

    [Fact]
    public void Rejects_what_makes_no_line()
    {
        Assert.Throws<ArgumentException>(() => Linearity.Of(LineKind.Independent, [1], [1]));
        Assert.Throws<ArgumentException>(() => Linearity.Of(LineKind.Independent, [1, 1], [1, 2]));
        Assert.Throws<ArgumentException>(() => Linearity.Of(LineKind.Independent, [1, 2], [1]));
    }

    private static double Largest(double[] y, double intercept, double slope) =>
        _x.Select((x, i) => Math.Abs(y[i] - intercept - (slope * x))).Max();
}
