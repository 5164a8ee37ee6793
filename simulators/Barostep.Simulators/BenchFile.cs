namespace Barostep.Simulators;

/// <summary>Reads bench files.</summary>
public static class BenchFile
{
    /// <summary>Reads a file, or a shipped bench by its name (<c>demo</c>).</summary>
    /// <exception cref="BenchFileException">The file is missing or wrong.</exception>
    public static BenchDescription Load(string pathOrName) => throw new NotImplementedException();

    /// <summary>Reads a bench from text; <paramref name="name"/> stands in the messages.</summary>
    public static BenchDescription Parse(string text, string name) => throw new NotImplementedException();
}
