using Barostep.Configuration;
using Barostep.Procedures;

namespace Barostep.Tests.Configuration;

/// <summary>What files say of a person at a pump and of a dial gauge.</summary>
public sealed class HandFileTests
{
    private const string Bench = "benches/hand.toml";
    private const string Device = "devices/dial-gauge.toml";
    private const string Pump = "benches/pump.toml";

    private static readonly WorkshopConfiguration Shipped = ShippedConfiguration.Load().Configuration;

    [Fact]
    public void Accepts_the_shipped_ones()
    {
        BenchDefinition bench = Shipped.Benches["hand"];
        Assert.Null(bench.Source);
        Assert.Equal(60_000_000, bench.Person!.VentsWithinMicros);
        Assert.Equal(600_000_000, bench.AnswersWithinMicros);
        Assert.Equal(4_000, Shipped.Devices["dial-gauge"].ResolutionPascals);
        Assert.Equal(PointerMethod.SetOnMark, Shipped.Procedures["hand-five-mark"].Pointer);
        Assert.Empty(RunCheck.Check(bench, Shipped.Devices["dial-gauge"], Shipped.Procedures["hand-five-point"], Shipped.Origins));
        Assert.Empty(RunCheck.Check(bench, Shipped.Devices["dial-gauge"], Shipped.Procedures["hand-five-mark"], Shipped.Origins));
    }

    [Theory]
    [InlineData(Bench, "kind = \"person\"", "kind = \"person\"\nport = \"pump\"", "source.port beside source.kind = \"person\"", "what tells the pressure is the [reference]")]
    [InlineData(Bench, "kind = \"person\"", "kind = \"persn\"", "it is one of \"instrument\", \"person\"", "did you mean kind = \"person\"")]
    [InlineData(Bench, "allowed = false", "allowed = true", "unattended.allowed = true beside source.kind = \"person\"", "write allowed = false")]
    [InlineData(Bench, "answers_within = \"10 min\"", "answers_within = \"5 s\"", "it lies from 30 s to 4 h", "write for example")]
    [InlineData(Pump, "[source]", "[source]\nvents_within = \"5 s\"", "source.vents_within beside an instrument", "write kind = \"person\"")]
    [InlineData(Device, "division = \"0.2 bar\"\n", "", "output.division is missing", "write division")]
    [InlineData(Device, "read_to = \"1/5\"", "read_to = \"1/3\"", "it is one of \"1\", \"1/2\"", "did you mean read_to = \"1/2\"")]
    [InlineData(Device, "[output]", "resolution = \"0.05 bar\"\n[output]", "resolution beside output.division", "delete it")]
    [InlineData(Device, "division = ", "from = \"4 mA\"\ndivision = ", "output.from beside kind = \"dial\"", "delete it")]
    [InlineData("devices/gauge-10bar.toml", "kind = \"digital\"", "kind = \"digital\"\ndivision = \"0.2 bar\"", "output.division beside kind = \"digital\"", "write kind = \"dial\"")]
    public void Rejects_what_contradicts_itself(string file, string from, string to, string found, string instead)
    {
        using var files = new ConfigurationFixture(ShippedConfiguration.Folder);
        Assert.Contains(from, files.Read(file), StringComparison.Ordinal);
        files.Write(file, files.Read(file).Replace(from, to, StringComparison.Ordinal));

        Assert.Contains(files.Load().Errors, error => $"{error}".Contains(found, StringComparison.Ordinal) && $"{error}".Contains(instead, StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("hand", "dial-gauge", "five-point", "a hand on a pump keeps a pressure within 0.2 % of span, not closer")]
    [InlineData("pump", "dial-gauge", "hand-five-mark", "a person brings the pointer to the mark with the pump's fine screw")]
    [InlineData("pump", "transmitter-16bar", "hand-five-mark", "only a pointer is brought to a mark")]
    [InlineData("pump", "dial-gauge", "eleven-point-rest", "the rest of an error is foretold from readings that come by themselves, and a person gives none")]
    public void Rejects_a_procedure_that_a_person_cannot_do(string bench, string device, string procedure, string rule) => Assert.Contains(
        RunCheck.Check(Shipped.Benches[bench], Shipped.Devices[device], Shipped.Procedures[procedure], Shipped.Origins),
        error => error.Rule == rule);

    [Fact]
    public void Rejects_a_band_narrower_than_the_class_where_the_pointer_is_set_on_the_mark()
    {
        Procedure narrow = Shipped.Procedures["hand-five-mark"];
        narrow = narrow with { Settle = narrow.Settle with { BandOfSpan = 0.01 } };

        ConfigurationError error = Assert.Single(RunCheck.Check(Shipped.Benches["hand"], Shipped.Devices["dial-gauge"], narrow, Shipped.Origins));
        Assert.Equal("write at least \"1.6 % of span\" for both", error.Instead);
    }
}
