using Barostep.Simulators;

namespace Barostep.Tests.Simulators;

public class BenchFileTests
{
    [Theory]
    [InlineData("demo", new[] { "controller", "reference", "multimeter", "dump" })]
    [InlineData("gauge", new[] { "controller", "reference", "gauge" })]
    public void Shipped_benches_load_by_name(string name, string[] ports) =>
        Assert.Equal(ports, SimulatedBench.Load(name, 1).Ports.Select(p => p.Name));

    [Theory]
    [InlineData("litres = 0.15", "litres = -1", ":13: 'litres' in [volume] is -1, which will not do: it must be a number from 0.001 to 1000")]
    [InlineData("litres = 0.15", "litres = nan", ":13: 'litres' in [volume]")]
    [InlineData("litres = 0.15", "liters = 0.15", ":13: 'liters' in [volume] is unknown")]
    [InlineData("name = \"nitrogen\"", "name = \"oxygen\"", "write one of air, nitrogen")]
    [InlineData("pressure = \"20 bar gauge\"", "pressure = \"20 bar\"", "'gauge' or 'absolute'")]
    [InlineData("kind = \"multimeter\"", "kind = \"toaster\"", "must be one of \"controller\"")]
    [InlineData("port = \"reference\"", "port = \"controller\"", "another instrument has")]
    [InlineData("port = \"reference\"", "port = \"../x\"", "letters, digits")]
    [InlineData("[vent]", "[went]", "there is no table [went]")]
    [InlineData("[vent]", "[went]", "the table [vent] is missing")]
    [InlineData("baud = 19200", "baud = ", ":")]
    public void A_wrong_bench_file_is_refused_with_its_line_and_the_rule(string right, string wrong, string message)
    {
        string text = File.ReadAllText(Path.Combine(AppContext.BaseDirectory, "benches", "demo.toml"));
        Assert.Contains(right, text, StringComparison.Ordinal);
        string broken = text.Replace(right, wrong, StringComparison.Ordinal);
        BenchFileException refused = Assert.Throws<BenchFileException>(() => BenchFile.Parse(broken, "bench.toml"));
        Assert.Contains(message, refused.Message, StringComparison.Ordinal);
        Assert.All(refused.Message.Split('\n'), line => Assert.Matches(@"^bench\.toml:\d+: ", line));
    }

    [Fact]
    public void All_errors_come_at_once()
    {
        string message = Assert.Throws<BenchFileException>(() => BenchFile.Parse("[gas]\nname = 3\n[volume]\nlitres = 0", "b")).Message;
        Assert.Contains("b:2:", message, StringComparison.Ordinal);
        Assert.Contains("b:4:", message, StringComparison.Ordinal);
        Assert.Contains("[supply]", message, StringComparison.Ordinal);
    }

    [Fact]
    public void A_missing_file_names_the_shipped_benches() =>
        Assert.Contains("demo, gauge", Assert.Throws<BenchFileException>(() => BenchFile.Load("no-such")).Message, StringComparison.Ordinal);
}
