using Barostep.Configuration;
using Barostep.Procedures.Prompts;
using Barostep.Safety;

namespace Barostep.Tests.Procedures.Prompts;

/// <summary>A dial of 0 to 10 bar with a line each 0.2 bar, read to a fifth of that.</summary>
public class PointerEntryTests
{
    private static readonly DeviceDefinition Gauge = Exercises.Transmitter with
    {
        RangeTo = Exercises.Gauge(10m),
        Output = DeviceOutput.Dial,
        Dial = new DialScale(20_000m, 5),
        ResolutionPascals = 4_000,
    };

    [Theory]
    [InlineData("4.12", 412_000)]
    [InlineData(" 4.12 bar ", 412_000)]
    [InlineData("0", 0)]
    [InlineData("10", 1_000_000)]
    [InlineData("9.960", 996_000)]
    public void Accepts_what_the_eye_can_read(string text, double pascals)
    {
        Assert.True(PointerEntry.TryRead(Gauge, text, out double read, out string? message), message);
        Assert.Equal(pascals, read, 6);
    }

    [Theory]
    [InlineData("4.13", "4.13 bar cannot be read from this scale: a division is 0.2 bar and is read to 1/5 of it, so to 0.04 bar; write 4.12 or 4.16")]
    [InlineData("10.04", "10.04 bar is outside the scale: it goes from 0 to 10 bar; read the pointer again")]
    [InlineData("-0.04", "-0.04 bar is outside the scale: it goes from 0 to 10 bar; read the pointer again")]
    [InlineData("4,12", "'4,12' is no place of a pointer in bar: it is one number with a point before its decimals; write for example 5")]
    [InlineData("4.12 psi", "'4.12 psi' is no place of a pointer in bar: it is one number with a point before its decimals; write for example 5")]
    [InlineData("1e1", "'1e1' is no place of a pointer in bar: it is one number with a point before its decimals; write for example 5")]
    [InlineData("", "nothing was entered: it is one number with a point before its decimals; write for example 5")]
    [InlineData("NaN", "'NaN' is no place of a pointer in bar: it is one number with a point before its decimals; write for example 5")]
    public void Rejects_what_it_cannot_with_one_message(string text, string message)
    {
        Assert.False(PointerEntry.TryRead(Gauge, text, out _, out string? told));
        Assert.Equal(message, told);
    }

    [Fact]
    public void In_a_unit_that_is_no_round_number_of_pascals_every_readable_place_is_accepted()
    {
        var psi = new StatedPressure(0m, PressureUnit.All.Single(unit => unit.Symbol == "psi"), PressureReference.Gauge);
        DeviceDefinition gauge = Gauge with { RangeFrom = psi, RangeTo = psi with { Value = 160m }, Dial = new DialScale(5m * psi.Unit.Pascals, 5) };

        for (int place = 0; place <= 160; place++)
            Assert.True(PointerEntry.TryRead(gauge, place.ToString(System.Globalization.CultureInfo.InvariantCulture), out _, out string? message), message);
        Assert.False(PointerEntry.TryRead(gauge, "80.5", out _, out _));
    }
}
