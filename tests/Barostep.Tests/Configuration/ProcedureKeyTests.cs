using Barostep.Configuration;
using Barostep.Procedures;

namespace Barostep.Tests.Configuration;

public sealed class ProcedureKeyTests
{
    private const string Recipe = "procedures/five-point.toml";

    private const string LeakTest = """

        [leak_test]
        pressure = "80 % of span"
        settle = "30 s"
        hold = "60 s"
        limit = "0.002 % of span/s"

        """;

    [Fact]
    [Trait("SR", "11")]
    public void Accepts_a_leak_test()
    {
        using ConfigurationFixture files = new ConfigurationFixture().Append(Recipe, LeakTest);
        LeakTest test = Only(files).LeakTest!;
        Assert.Equal((0.8, 30_000_000, 60_000_000), (test.PressureOfSpan, test.SettleMicros, test.HoldMicros));
        // 0.002 % of span per second are 0.12 % per minute.
        Assert.Equal(0.0012, test.LimitOfSpanPerMinute, 12);
    }

    [Fact]
    public void Accepts_a_procedure_without_leak_test_and_confirmation()
    {
        using var files = new ConfigurationFixture();
        Procedure procedure = Only(files);
        Assert.Null(procedure.LeakTest);
        Assert.Null(procedure.Confirmation);
    }

    [Fact]
    public void Accepts_a_confirmation_and_asks_its_very_words()
    {
        using ConfigurationFixture files = new ConfigurationFixture()
            .Change(Recipe, "descending = true", "confirmation = \"Hose restrained?\"\ndescending = true");
        Assert.Equal("Hose restrained?", Only(files).Confirmation);
    }

    [Theory]
    [Trait("SR", "11")]
    [InlineData("\"80 % of span\"", "\"101 % of span\"", "leak_test.pressure")]
    [InlineData("\"80 % of span\"", "\"0 % of span\"", "leak_test.pressure")]
    [InlineData("\"30 s\"", "\"-1 s\"", "leak_test.settle")]
    [InlineData("\"30 s\"", "\"2 h\"", "leak_test.settle")]
    [InlineData("\"60 s\"", "\"1 s\"", "leak_test.hold")]
    [InlineData("\"0.002 % of span/s\"", "\"2 % of span/s\"", "leak_test.limit")]
    [InlineData("\"0.002 % of span/s\"", "\"0.002 % of span\"", "leak_test.limit")]
    [InlineData("limit =", "limits =", "leak_test.limit")]
    public void Rejects_a_leak_test_that_cannot_be_meant(string from, string to, string key)
    {
        string spoilt = LeakTest.Replace(from, to, StringComparison.Ordinal);
        Assert.NotEqual(LeakTest, spoilt);
        using ConfigurationFixture files = new ConfigurationFixture().Append(Recipe, spoilt);
        Assert.Contains(files.Errors(), error => error.StartsWith(Recipe, StringComparison.Ordinal) && error.Contains(key, StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("confirmation = \"\"", "must not be empty")]
    [InlineData("confirmation = true", "confirmation = true")]
    public void Rejects_a_confirmation_without_words(string line, string told)
    {
        using ConfigurationFixture files = new ConfigurationFixture().Change(Recipe, "descending = true", $"{line}\ndescending = true");
        Assert.Contains(told, files.OnlyError(), StringComparison.Ordinal);
    }

    private static Procedure Only(ConfigurationFixture files)
    {
        LoadedConfiguration loaded = files.Load();
        Assert.Empty(loaded.Errors);
        return loaded.Configuration.Procedures["five-point"];
    }
}
