using System.Text;
using Barostep.Simulators;
using Barostep.Simulators.Instruments;

namespace Barostep.Tests.Simulators;

public class FixedWidthDialectTests
{
    private readonly SimulatedBench _bench = DemoBench.Load(1);
    private readonly Host _reference;

    public FixedWidthDialectTests()
    {
        _bench.AdvanceTo(100_000);
        _reference = new Host(_bench, "reference", '\r');
    }

    [Theory]
    // The bytes printed in docs/simulation.md.
    [InlineData(">07IEE", "<07IINDICSI-020771.0")]
    [InlineData(">07UFA", "<07UBG81")]
    [InlineData(">07WBG85", "<07WBG83")]
    [InlineData(">07XFD", "!0701E9")]
    [InlineData(">07RF7", "<07R0000")]
    public void Answers_each_command(string request, string reply) => Assert.StartsWith(reply, _reference.Ask(request));

    [Theory]
    [InlineData(">07PF6")] // wrong sum
    [InlineData(">08PF6")] // another address
    [InlineData("07PB7")] // no start
    [InlineData(">07P")]
    [InlineData("")]
    public void What_does_not_add_up_is_not_answered(string request) => Assert.Equal("", _reference.Ask(request, 200_000));

    [Fact]
    public void A_frame_after_garbage_is_answered()
    {
        _reference.Send(new string('z', 100));
        Assert.StartsWith("<07P", _reference.Ask("zzz>07PF5"));
    }

    [Theory]
    [InlineData('B', 1e5, 5)]
    [InlineData('H', 100, 2)]
    [InlineData('A', 1, 0)]
    [InlineData('K', 1e3, 3)]
    [InlineData('M', 1e6, 6)]
    [InlineData('I', 6894.757293168361, 4)] // exact definition of the psi
    public void Pressure_is_told_in_every_unit_with_its_letter(char letter, double pascals, int decimals)
    {
        _bench.Inject("fault reference sensor offset 12.34568 bar");
        Ask($">07W{letter}A");
        string reply = Ask(">07P");
        Assert.Equal(20, reply.Length);
        Assert.Equal($"{letter}A0", reply.Substring(15, 3));
        double value = double.Parse(reply.AsSpan(4, 11), System.Globalization.CultureInfo.InvariantCulture);
        Assert.Equal((1234568 + 100940) / pascals, value, 100 / pascals);
        Assert.Equal(decimals, decimals == 0 ? 0 : 14 - reply.IndexOf('.', StringComparison.Ordinal));
    }

    [Fact]
    public void A_wrong_argument_is_refused_and_remembered_once()
    {
        Assert.StartsWith("!0702", Ask(">07WZG"));
        Assert.StartsWith("<07E02", Ask(">07E"));
        Assert.StartsWith("<07E00", Ask(">07E"));
    }

    [Fact]
    public void Over_range_is_told_without_a_number()
    {
        _bench.Inject("fault reference sensor overrange on");
        Assert.StartsWith("<07P+^^^^^^^^^^BG1", Ask(">07P"));
    }

    private string Ask(string body)
    {
        string reply = _reference.Ask(body + FixedWidthDialect.Checksum(Encoding.ASCII.GetBytes(body)).ToString("X2"));
        Assert.Equal(FixedWidthDialect.Checksum(Encoding.ASCII.GetBytes(reply[..^2])).ToString("X2"), reply[^2..]);
        return reply;
    }
}
