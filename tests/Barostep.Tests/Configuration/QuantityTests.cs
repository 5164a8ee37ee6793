using Barostep.Configuration;
using Barostep.Safety;

namespace Barostep.Tests.Configuration;

public sealed class QuantityTests
{
    [Theory]
    [InlineData("17 bar gauge", 17, "bar", PressureReference.Gauge)]
    [InlineData("17bar gauge", 17, "bar", PressureReference.Gauge)]
    [InlineData("  1.7e1   bar   gauge ", 17, "bar", PressureReference.Gauge)]
    [InlineData("17000 mbar gauge", 17000, "mbar", PressureReference.Gauge)]
    [InlineData("240 psi gauge", 240, "psi", PressureReference.Gauge)]
    public void Accepts_a_pressure_with_unit_and_reference(string written, double value, string unit, PressureReference reference)
    {
        using ConfigurationFixture files = new ConfigurationFixture().Change("benches/demo.toml", "\"17 bar gauge\"", $"\"{written}\"");

        LoadedConfiguration loaded = files.Load();

        Assert.Empty(loaded.Errors);
        StatedPressure ceiling = loaded.Configuration.Benches["demo"].Ceiling;
        Assert.Equal(new StatedPressure((decimal)value, PressureUnit.Find(unit)!, reference), ceiling);
    }

    [Theory]
    [InlineData("\"17 PSI gauge\"", "did you mean psi: write \"17 psi gauge\"")]
    [InlineData("\"17 Mbar gauge\"", "did you mean mbar: write \"17 mbar gauge\"")]
    [InlineData("\"17 mPa gauge\"", "did you mean MPa: write \"17 MPa gauge\"")]
    [InlineData("\"17 Bar gauge\"", "did you mean bar: write \"17 bar gauge\"")]
    [InlineData("\"17 barg\"", "write \"17 bar gauge\"")]
    [InlineData("\"17 bar(a)\"", "write \"17 bar absolute\"")]
    [InlineData("\"17 psia\"", "write \"17 psi absolute\"")]
    [InlineData("\"17 furlong gauge\"", "use one of Pa, hPa, kPa")]
    [InlineData("\"17 bar\"", "write \"17 bar gauge\" or \"17 bar absolute\"")]
    [InlineData("\"17 bar guage\"", "write \"17 bar gauge\"")]
    [InlineData("\"17 bar gauge absolute\"", "a pressure is either gauge or absolute")]
    [InlineData("\"17,5 bar gauge\"", "write \"17.5 bar gauge\"")]
    [InlineData("\"17\"", "write \"17 bar gauge\"")]
    [InlineData("\"bar gauge\"", "a quantity is a number followed by its unit")]
    [InlineData("\"\"", "a quantity is a number followed by its unit")]
    [InlineData("17", "write \"17 bar gauge\" if that is the unit meant")]
    [InlineData("17.5", "write \"17.5 bar gauge\" if that is the unit meant")]
    [InlineData("true", "a pressure is written as text")]
    [InlineData("\"-1 bar absolute\"", "an absolute pressure is not below 0")]
    [InlineData("\"1e300 bar gauge\"", "beyond what any bench can have")]
    [InlineData("\"99999999999999999999999999999999999 bar gauge\"", "beyond what any bench can have")]
    [InlineData("\"NaN bar gauge\"", "a quantity is a number followed by its unit")]
    [InlineData("inf", "is a bare number")]
    [Trait("SR", "07")]
    public void Rejects_a_pressure_that_could_be_misread(string written, string told)
    {
        using ConfigurationFixture files = new ConfigurationFixture().Change("benches/demo.toml", "\"17 bar gauge\"", written);

        string error = files.OnlyError();

        Assert.StartsWith(files.LastChange + ": ", error, StringComparison.Ordinal);
        Assert.Contains(told, error, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("\"30 s\"", 30_000_000)]
    [InlineData("\"30000 ms\"", 30_000_000)]
    [InlineData("\"0.5 min\"", 30_000_000)]
    [InlineData("\"200 ms\"", 200_000)]
    public void Accepts_times(string written, long micros)
    {
        using ConfigurationFixture files = new ConfigurationFixture().Change("procedures/eleven-point.toml", "\"30 s\"", written);

        LoadedConfiguration loaded = files.Load();

        Assert.Empty(loaded.Errors);
        Assert.Equal(micros, loaded.Configuration.Procedures["eleven-point"].PreloadHoldMicros);
    }

    [Theory]
    [InlineData("procedures/eleven-point.toml", "\"30 s\"", "\"30 sec\"", "is not a unit of time")]
    [InlineData("procedures/eleven-point.toml", "\"30 s\"", "\"30 S\"", "did you mean s: write \"30 s\"")]
    [InlineData("procedures/eleven-point.toml", "\"30 s\"", "30", "a time is written as text with its unit; write \"30 s\"")]
    [InlineData("procedures/eleven-point.toml", "\"30 s\"", "\"-1 s\"", "it lies from 0 s to 1 h")]
    [InlineData("procedures/eleven-point.toml", "\"0.05 % of span\"", "\"0.05 %\"", "write \"0.05 % of span\"")]
    [InlineData("procedures/eleven-point.toml", "\"0.05 % of span\"", "\"0,05 % of span\"", "write \"0.05 % of span\"")]
    [InlineData("procedures/eleven-point.toml", "\"2.5 % of span/s\"", "\"2.5 bar/s\"", "is not a unit of share of the span per time")]
    [InlineData("benches/demo.toml", "\"0.4 bar\"", "\"0.4 bar gauge\"", "a pressure difference is neither gauge nor absolute; write \"0.4 bar\"")]
    [InlineData("benches/demo.toml", "\"0.5 bar/s\"", "\"0.5 bar\"", "is not a unit of rate of change")]
    [InlineData("benches/demo.toml", "\"140 mL\"", "\"140 ml\"", "did you mean mL: write \"140 mL\"")]
    [InlineData("devices/transmitter-16bar.toml", "\"4 mA\"", "\"4 ma\"", "did you mean mA")]
    [InlineData("devices/transmitter-16bar.toml", "\"4 mA\"", "\"4 V\"", "is not a unit of current")]
    [InlineData("benches/demo.toml", "\"0.012 dm3/(s.bar)\"", "\"0.012 dm3/s\"", "is not a unit of sonic conductance")]
    [Trait("SR", "07")]
    public void Rejects_a_quantity_with_a_hint(string file, string from, string to, string told)
    {
        using ConfigurationFixture files = new ConfigurationFixture().Change(file, from, to);

        string error = files.OnlyError();

        Assert.StartsWith(files.LastChange + ": ", error, StringComparison.Ordinal);
        Assert.Contains(told, error, StringComparison.Ordinal);
    }

    [Fact]
    public void Values_arrive_in_base_units()
    {
        WorkshopConfiguration shipped = ShippedConfiguration.Load().Configuration;

        BenchDefinition bench = shipped.Benches["demo"];
        Assert.Equal(140e-6, bench.GasPath.VolumeMinimum, 12);
        // 0.0055 dm³/(s·bar) = 0.0055e-3 m³ / (1 s · 1e5 Pa) = 5.5e-11 m³/(s·Pa), by the definitions of the units.
        Assert.Equal(1.0, bench.GasPath.Fill.Conductance / 5.5e-11, 12);
        Assert.Equal(50_000.0, bench.MaxRatePascalsPerSecond, 6);
        Assert.Equal(PressureDifference.FromPascals(40_000), bench.SetPointMargin);
        Assert.Equal(50_000, bench.PeriodMicros);
        Assert.Equal(1.0, bench.Reference.ResolutionPascals, 9);
        DeviceDefinition device = shipped.Devices["transmitter-16bar"];
        Assert.Equal(0.005, device.ToleranceOfSpan, 12);
        Assert.Equal(0.004, device.OutputFrom, 12);
        Assert.Equal(0.020, device.OutputTo, 12);
        Assert.Equal(1_600_000.0, device.SpanPascals, 6);
        Barostep.Procedures.Procedure procedure = shipped.Procedures["eleven-point"];
        Assert.Equal(0.025, procedure.RateOfSpanPerSecond, 12);
        Assert.Equal(0.0005, procedure.Settle.BandOfSpan, 12);
        Assert.Equal(0.00005, procedure.Settle.SlopeOfSpanPerSecond, 12);
        Assert.Equal(180_000_000, procedure.Settle.TimeoutMicros);
        Assert.Equal([0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0], procedure.PointsOfSpan);
    }
}
