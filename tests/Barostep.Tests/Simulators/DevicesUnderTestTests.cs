using Barostep.Simulators;
using Barostep.Simulators.Instruments;

namespace Barostep.Tests.Simulators;

public class DevicesUnderTestTests
{
    [Theory]
    // 4-20 mA by its definition: 0, 25, 50, 75, 100 % of 0 to 16 bar.
    [InlineData(0, 4e-3)]
    [InlineData(4e5, 8e-3)]
    [InlineData(8e5, 12e-3)]
    [InlineData(12e5, 16e-3)]
    [InlineData(16e5, 20e-3)]
    // NAMUR NE 43: saturates at 3.8 and 20.5 mA.
    [InlineData(-1e5, 3.8e-3)]
    [InlineData(20e5, 20.5e-3)]
    public void A_transmitter_without_errors_is_on_the_line(double gaugePa, double amperes) =>
        Assert.Equal(amperes, Settled(new DeviceErrors(), gaugePa), 1e-9);

    [Theory]
    [InlineData(0, 0.20)]
    [InlineData(8e5, 0.20 - 0.175)]
    [InlineData(16e5, 0.20 - 0.35)]
    public void Zero_and_span_errors_show_as_stated(double gaugePa, double percentOfSpan) =>
        Assert.Equal(4e-3 + (gaugePa / 1e8) + (16e-5 * percentOfSpan), Settled(new DeviceErrors(0.20, -0.35), gaugePa), 1e-9);

    [Fact]
    public void Hysteresis_is_widest_between_the_ends_and_closes_at_them()
    {
        DeviceErrors errors = new(HysteresisPercent: 0.4);
        MeasuringElement element = new(errors, 0, 16e5, 0, 1000, 0);
        Sweep(element, 0, 16e5);
        Sweep(element, 16e5, 0);
        double[] up = Sweep(element, 0, 16e5);
        double[] down = Sweep(element, 16e5, 0);
        Assert.Equal(0.004, down[50] - up[50], 1e-6);
        Assert.Equal(0.0, down[100] - up[100], 1e-9);
        Assert.Equal(0.0, down[0] - up[0], 1e-9);
        Assert.All(Enumerable.Range(0, 101), i => Assert.InRange(down[i] - up[i], -1e-9, 0.004 + 1e-9));
    }

    [Fact]
    public void The_bow_peaks_at_the_stated_linearity_error()
    {
        MeasuringElement element = new(new DeviceErrors(LinearityPercent: 0.1), 0, 1e5, 0, 1000, 0);
        double[] line = Sweep(element, 0, 1e5);
        double[] error = [.. line.Select((y, i) => y - (i / 100.0))];
        Assert.Equal(0.001, error.Max(), 1e-6);
        Assert.Equal(-0.001, error.Min(), 1e-6);
        Assert.Equal(0, error[0], 1e-9);
        Assert.Equal(0, error[50], 1e-9);
        Assert.Equal(0, error[100], 1e-9);
    }

    private static double Settled(DeviceErrors errors, double gaugePa)
    {
        Transmitter transmitter = new(new TransmitterDescription { LowerPa = 0, UpperPa = 16e5, Errors = errors }, 0);
        for (int i = 0; i < 2_000; i++)
        {
            transmitter.Follow(gaugePa);
        }

        return transmitter.TrueCurrentA;
    }

    // Indications by whole per cent of span, whatever the direction.
    private static double[] Sweep(MeasuringElement element, double fromPa, double toPa)
    {
        double[] indications = new double[101];
        for (int i = 0; i <= 100; i++)
        {
            double pressure = fromPa + ((toPa - fromPa) * i / 100);
            element.Follow(pressure);
            indications[(int)Math.Round(100 * pressure / Math.Max(fromPa, toPa))] = element.Share;
        }

        return indications;
    }
}
