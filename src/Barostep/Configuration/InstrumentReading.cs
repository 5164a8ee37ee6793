using Barostep.Configuration.Files;
using Barostep.Configuration.Toml;
using Barostep.Instruments;

namespace Barostep.Configuration;

/// <summary>One instrument definition, read by itself.</summary>
/// <param name="Definition">Null where a value could not be read.</param>
/// <param name="Errors">Everything that is wrong, sorted by place.</param>
public sealed record InstrumentReading(InstrumentDefinition? Definition, IReadOnlyList<ConfigurationError> Errors)
{
    /// <summary>Reads a definition. Never throws for what the text says.</summary>
    /// <param name="file">Its file, as messages name it; the definition's name is that without folder and ending.</param>
    /// <param name="text">What the file says.</param>
    public static InstrumentReading Of(string file, string text)
    {
        ArgumentNullException.ThrowIfNull(file);
        ArgumentNullException.ThrowIfNull(text);
        var errors = new ErrorList();
        string name = Path.GetFileNameWithoutExtension(file);
        InstrumentDefinition? definition = InstrumentFile.Read(name, new FileContext(file, errors, new SourceMap()).Parse(text));
        return new InstrumentReading(definition, errors.Sorted());
    }
}
