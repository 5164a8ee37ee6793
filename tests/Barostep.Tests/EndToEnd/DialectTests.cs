using Barostep.Evaluation;

namespace Barostep.Tests.EndToEnd;

[Collection(RealPrograms.Name)]
public sealed class DialectTests : IDisposable
{
    private readonly Workshop _workshop = new();

    public void Dispose() => _workshop.Dispose();

    [Fact]
    public void A_gauge_in_the_second_dialect_is_calibrated_against_a_reference_in_the_first()
    {
        string bench = _workshop.BenchFile("gauge");
        RunResult result = VirtualRun.Of(VirtualRun.Job(_workshop, "gauge", "gauge-10bar", "quick"), bench);

        Assert.Equal((6, Conformity.Passed), (result.Points.Count, result.Conformity));
        Assert.All(result.Record.Points.SelectMany(point => point.Samples), sample => Assert.StartsWith("<12P", sample.Indication.Raw, StringComparison.Ordinal));
        Assert.All(result.Record.Points.SelectMany(point => point.Samples), sample => Assert.EndsWith(",BAR,GAUG", sample.Reference.Raw, StringComparison.Ordinal));
    }

    [Fact]
    public void A_reference_of_the_other_dialect_needs_another_definition_file_and_gives_the_same_errors()
    {
        RunResult before = VirtualRun.Of(VirtualRun.Job(_workshop, "demo", "transmitter-16bar", "quick"), _workshop.BenchFile("demo"));
        _workshop.Change("benches/demo.toml", "instrument = \"fixed-indicator\"", "instrument = \"text-indicator\"");
        string bench = _workshop.BenchFile("demo", ("dialect = \"fixed-width\"", "dialect = \"text\""));
        RunResult after = VirtualRun.Of(VirtualRun.Job(_workshop, "demo", "transmitter-16bar", "quick"), bench);

        Assert.All(after.Record.Points.SelectMany(point => point.Samples), sample => Assert.EndsWith(",BAR,GAUG", sample.Reference.Raw, StringComparison.Ordinal));
        // The gas and the device are the same, and a hundredth of a per cent is five times the noise of either reference.
        Assert.All(
            before.Points.Zip(after.Points),
            pair => Assert.Equal(pair.First.Values!.ErrorOfSpan, pair.Second.Values!.ErrorOfSpan, 1e-4));
    }

    [Fact]
    public void An_instrument_of_another_address_needs_only_a_definition_file_of_its_own()
    {
        string shipped = File.ReadAllText(Path.Combine(_workshop.Config, "instruments", "fixed-indicator.toml"));
        File.WriteAllText(
            Path.Combine(_workshop.Config, "instruments", "far-indicator.toml"),
            shipped.Replace(">07", ">23", StringComparison.Ordinal).Replace("<07", "<23", StringComparison.Ordinal));
        _workshop.Change("benches/demo.toml", "instrument = \"fixed-indicator\"", "instrument = \"far-indicator\"");
        string bench = _workshop.BenchFile("demo", ("address = 7", "address = 23"));
        RunResult result = VirtualRun.Of(VirtualRun.Job(_workshop, "demo", "transmitter-16bar", "quick"), bench);

        Assert.Equal(Conformity.Passed, result.Conformity);
        Assert.All(result.Record.Points.SelectMany(point => point.Samples), sample => Assert.StartsWith("<23P", sample.Reference.Raw, StringComparison.Ordinal));
    }
}
