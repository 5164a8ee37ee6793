using Barostep.Simulators;
using Barostep.Simulators.Instruments;

namespace Barostep.Tests.Simulators;

public class DialGaugeTests
{
    private static readonly DialDescription Plain = new()
    {
        LowerPa = 0,
        UpperPa = 1e6,
        DivisionPa = 20_000,
        PartsOfDivision = 5,
        FrictionPercent = 0.5,
        LagMicros = 0,
    };

    [Fact]
    public void Friction_holds_the_pointer_back_by_half_a_per_cent_until_it_is_tapped()
    {
        var gauge = new DialGauge(Plain);
        Follow(gauge, 500_000);
        Assert.Equal(495_000, gauge.PointerPa, 1);

        gauge.Tap();
        Assert.Equal(500_000, gauge.PointerPa, 1);

        Follow(gauge, 300_000);
        Assert.Equal(305_000, gauge.PointerPa, 1);
    }

    [Theory]
    [InlineData(501_900, 500_000)]
    [InlineData(502_100, 504_000)]
    [InlineData(-50_000, 0)]
    public void A_person_reads_the_nearest_fifth_of_a_division(double gaugePa, double readPa)
    {
        var gauge = new DialGauge(Plain with { FrictionPercent = 0 });
        Follow(gauge, gaugePa);
        Assert.Equal(readPa, gauge.ReadingPa, 1);
    }

    private static void Follow(DialGauge gauge, double pascals)
    {
        for (int i = 0; i < 100; i++)
            gauge.Follow(pascals);
    }
}
