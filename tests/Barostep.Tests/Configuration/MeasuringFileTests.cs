using Barostep.Configuration;
using Barostep.Configuration.Quantities;
using Barostep.Evaluation.Devices;

namespace Barostep.Tests.Configuration;

/// <summary>What evaluation needs of benches, devices and standards is read from their files, and refused with its place.</summary>
public sealed class MeasuringFileTests
{
    private const string Bench = "benches/demo.toml";
    private const string Device = "devices/transmitter-16bar.toml";
    private const string Standard = "standards/indicator-16bar.toml";

    [Fact]
    public void A_bench_s_levels_barometer_shunt_and_room_are_read()
    {
        using ConfigurationFixture files = new ConfigurationFixture().Append(Bench, """

            [head]
            reference_above_device = "-35 cm"
            height_uncertainty = "5 mm"
            latitude = "45 deg"
            height_above_sea = "100 m"

            [barometer]
            identity = "B-2"
            standard_uncertainty = "0.2 hPa"
            above_device = "1.2 m"

            [shunt]
            identity = "R-3"
            resistance = "250.013 ohm"
            standard_uncertainty = "5 mohm"
            temperature_coefficient = "5 ppm/K"

            [room]
            air = "43 %RH, 21.5 degC"

            """);

        BenchDefinition bench = files.Load().Configuration.Benches["demo"];

        Assert.Empty(files.Errors());
        HeadColumn head = bench.Arrangement.Head!;
        Assert.Equal(("nitrogen", -0.35, 0.005), (head.Gas, head.ReferenceAboveDeviceMetres, head.HeightUncertaintyMetres));
        // WELMEC 2 at 45°, 100 m: 9.805 882 4 m/s² (reference-values, computed).
        Assert.Equal(9.8058824, head.Gravity, 1e-7);
        Assert.Equal(new BenchBarometer("B-2", 20, 1.2), bench.Arrangement.Barometer);
        Assert.Equal((250.013, 0.005), (bench.Arrangement.Shunt!.OhmsAt20, bench.Arrangement.Shunt.StandardUncertaintyOhms));
        Assert.Equal(5e-6, bench.Arrangement.Shunt.PerKelvin, 1e-12);
        Assert.Equal(new RoomClimate(21.5, 0.43, null), bench.Room);
    }

    [Theory]
    [InlineData("[head]\nreference_above_device = \"0.3 m\"\nheight_uncertainty = \"5 mm\"\n", "head.latitude is missing")]
    [InlineData("[head]\nreference_above_device = \"0.3 m\"\nheight_uncertainty = \"5 mm\"\nlatitude = \"50 deg\"\ngravity = \"9.81 m/s2\"\n", "gravity is stated, or computed from the latitude")]
    [InlineData("[head]\nreference_above_device = \"0.3 bar\"\nheight_uncertainty = \"5 mm\"\nlatitude = \"50 deg\"\n", "\"bar\" is not a unit of length")]
    [InlineData("[room]\nair = \"21,5 degC\"\n", "is not a number with its unit")]
    [InlineData("[room]\nair = \"21.5 C\"\n", "has none of the units degC, %RH and hPa")]
    [InlineData("[room]\nair = \"21.5 degC, 22 degC\"\n", "is written twice")]
    [InlineData("[shunt]\nidentity = \"R-3\"\nresistance = \"250\"\nstandard_uncertainty = \"5 mohm\"\n", "a resistance has a unit")]
    public void Rejects_an_arrangement_that_cannot_be(string table, string says)
    {
        using ConfigurationFixture files = new ConfigurationFixture().Append(Bench, "\n" + table);

        Assert.Contains(files.Errors(), error => error.StartsWith(Bench, StringComparison.Ordinal) && error.Contains(says, StringComparison.Ordinal));
    }

    [Fact]
    public void A_device_s_class_transfer_resolution_and_rule_are_read()
    {
        using ConfigurationFixture files = new ConfigurationFixture()
            .Change(Device, "tolerance = \"0.5 % of span\"", "accuracy_class = 0.6\nresolution = \"5 mbar\"")
            .Append(Device, "transfer = \"square root\"\n\n[decision]\nrule = \"risk-of-this-device\"\nmost_false_accept = \"1 %\"\n");

        DeviceDefinition device = files.Load().Configuration.Devices["transmitter-16bar"];

        Assert.Empty(files.Errors());
        Assert.Equal((DialGaugeClass.Find(0.6), 0.006, 500), (device.AccuracyClass, device.ToleranceOfSpan, device.ResolutionPascals));
        Assert.IsType<SignalTransfer.SquareRoot>(device.Transfer);
        Assert.Equal((AgreedRule.RiskOfThisDevice, 0.01), (device.Decision.Rule, device.Decision.MostFalseAccept));
    }

    [Theory]
    [InlineData("tolerance = \"0.5 % of span\"", "accuracy_class = 0.5", "EN 837-1 has the classes 0.1, 0.25, 0.6, 1, 1.6, 2.5, 4")]
    [InlineData("tolerance = \"0.5 % of span\"", "grade = \"E\"", "ASME B40.100 has the grades 4A, 3A, 2A, 1A, A, B, C, D")]
    [InlineData("tolerance = \"0.5 % of span\"", "tolerance = \"0.5 % of span\"\ngrade = \"A\"", "the permissible error is stated once")]
    [InlineData("tolerance = \"0.5 % of span\"", "", "tolerance is missing")]
    [InlineData("to = \"20 mA\"", "to = \"20 mA\"\ntransfer = \"root\"", "it is one of \"linear\", \"square root\", \"table\"")]
    [InlineData("to = \"20 mA\"", "to = \"20 mA\"\ntransfer = \"table\"", "output.table is missing")]
    [InlineData("to = \"20 mA\"", "to = \"20 mA\"\ntransfer = \"table\"\n[output.table]\npressure = [\"0 %\", \"50 %\", \"40 %\"]\nsignal = [\"0 %\", \"60 %\", \"100 %\"]", "output.table.pressure.2 is not above the one before it")]
    [InlineData("to = \"20 mA\"", "to = \"20 mA\"\n[decision]\nrule = \"risk-of-all-devices\"", "decision.prior_deviation is missing")]
    [InlineData("to = \"20 mA\"", "to = \"20 mA\"\n[decision]\nrule = \"keep-away\"\nmost_false_accept = \"1 %\"", "that rule does not use it")]
    [InlineData("to = \"20 mA\"", "to = \"20 mA\"\n[decision]\nrule = \"keep-awy\"", "did you mean rule = \"keep-away\"")]
    public void Rejects_a_device_that_cannot_be_judged(string from, string to, string says)
    {
        using ConfigurationFixture files = new ConfigurationFixture().Change(Device, from, to);

        Assert.Contains(files.Errors(), error => error.StartsWith(Device, StringComparison.Ordinal) && error.Contains(says, StringComparison.Ordinal));
    }

    [Fact]
    public void A_standard_s_correction_may_be_a_line_or_a_curve()
    {
        using ConfigurationFixture line = WithCorrection("offset = \"2 mbar\"\ngain = 1.0001\n");
        using ConfigurationFixture curve = WithCorrection("unit = \"bar\"\npolynomial = [0.001, -2e-5, 3e-6]\n");

        ReferenceStandard straight = line.Load().Configuration.Standards["indicator-16bar"];
        ReferenceStandard bent = curve.Load().Configuration.Standards["indicator-16bar"];

        Assert.Empty(line.Errors());
        Assert.Empty(curve.Errors());
        // 2 mbar + 0.0001·8 bar = 280 Pa at 8 bar; 0.001 − 2e-5·8 + 3e-6·64 bar = 0.001 032 bar.
        Assert.Equal(280, straight.Correction.At(800_000), 1e-6);
        Assert.Equal(103.2, bent.Correction.At(800_000), 1e-6);
    }

    [Theory]
    [InlineData("at = [\"0 bar\"]\nadd = [\"0 bar\"]\noffset = \"1 mbar\"\n", "[correction] in more than one form")]
    [InlineData("unit = \"bar\"\n", "correction.polynomial is missing")]
    [InlineData("unit = \"V\"\npolynomial = [1]\n", "it is one of")]
    [InlineData("gain = 3\n", "it is a number from 0.5 to 2")]
    public void Rejects_a_correction_of_no_form(string keys, string says)
    {
        using ConfigurationFixture files = WithCorrection(keys);

        Assert.Contains(files.Errors(), error => error.StartsWith(Standard, StringComparison.Ordinal) && error.Contains(says, StringComparison.Ordinal));
    }

    [Fact]
    public void The_room_is_read_from_one_text()
    {
        Assert.Equal(new RoomClimate(-5, 0.4, 98_700), AmbientText.Parse("987 hPa, -5 degC , 40 %RH"));
        Assert.Contains("\"40 %\"", Assert.Throws<FormatException>(() => AmbientText.Parse("20 degC, 40 %")).Message, StringComparison.Ordinal);
    }

    private static ConfigurationFixture WithCorrection(string keys)
    {
        var files = new ConfigurationFixture();
        string text = files.Read(Standard);
        return files.Write(Standard, text[..text.IndexOf("[correction]", StringComparison.Ordinal)] + "[correction]\n" + keys);
    }
}
