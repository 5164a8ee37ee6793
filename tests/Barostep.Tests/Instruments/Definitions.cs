using Barostep.Configuration;
using Barostep.Instruments;
using Barostep.Tests.Configuration;

namespace Barostep.Tests.Instruments;

/// <summary>Definitions from the text of a file, read as the program reads them.</summary>
internal static class Definitions
{
    private const string File = "instruments/new.toml";

    /// <summary>The definition; the test fails where the file has an error.</summary>
    public static InstrumentDefinition Read(string text)
    {
        using ConfigurationFixture files = new ConfigurationFixture().Write(File, text);
        LoadedConfiguration loaded = files.Load();
        Assert.Empty(loaded.Errors.Select(error => error.ToString()));
        return loaded.Configuration.Instruments["new"];
    }

    /// <summary>What is wrong with the file.</summary>
    public static IReadOnlyList<string> Errors(string text)
    {
        using ConfigurationFixture files = new ConfigurationFixture().Write(File, text);
        return [.. files.Errors().Where(error => error.StartsWith(File, StringComparison.Ordinal))];
    }

    /// <summary>A definition that is shipped.</summary>
    public static InstrumentDefinition Shipped(string name) => ShippedConfiguration.Load().Configuration.Instruments[name];

    public static FittedInstrument Fitted(InstrumentDefinition definition, string port = "port") => new(definition, port, null, null, 0);
}
