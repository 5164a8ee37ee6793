using Barostep.Configuration;

namespace Barostep.Tests.Configuration;

/// <summary>A copy of a configuration that never changes, in a folder of its own, to be spoilt.</summary>
internal sealed class ConfigurationFixture : IDisposable
{
    public ConfigurationFixture()
        : this(FixedWorkshop.Folder)
    {
    }

    public ConfigurationFixture(string original)
    {
        Folder = Directory.CreateTempSubdirectory("barostep-config-").FullName;
        foreach (string file in Directory.GetFiles(original, "*.toml", SearchOption.AllDirectories))
        {
            string target = Path.Combine(Folder, Path.GetRelativePath(original, file));
            Directory.CreateDirectory(Path.GetDirectoryName(target)!);
            File.Copy(file, target);
        }
    }

    public string Folder { get; }

    /// <summary>Where the newest change begins: <c>file:line:column</c>.</summary>
    public string LastChange { get; private set; } = string.Empty;

    public ConfigurationFixture Change(string file, string from, string to)
    {
        string text = Read(file);
        int at = text.IndexOf(from, StringComparison.Ordinal);
        Assert.True(at >= 0, $"{file} holds no {from}");
        Write(file, text.Remove(at, from.Length).Insert(at, to));
        LastChange = Place(file, text, at);
        return this;
    }

    public ConfigurationFixture Append(string file, string text) => Write(file, Read(file) + text);

    public ConfigurationFixture Write(string file, string text)
    {
        File.WriteAllText(Path.Combine(Folder, file), text);
        return this;
    }

    public ConfigurationFixture Delete(string file)
    {
        File.Delete(Path.Combine(Folder, file));
        return this;
    }

    public string Read(string file) => File.ReadAllText(Path.Combine(Folder, file));

    /// <summary>Line and column, both from 1, of the first place where a text stands.</summary>
    public string PlaceOf(string file, string text, int further = 0)
    {
        string all = Read(file);
        int at = all.IndexOf(text, StringComparison.Ordinal);
        Assert.True(at >= 0, $"{file} holds no {text}");
        return Place(file, all, at + further);
    }

    public LoadedConfiguration Load() => ConfigurationDirectory.Load(Folder);

    public IReadOnlyList<string> Errors() => [.. Load().Errors.Select(error => error.ToString())];

    public string OnlyError() => Assert.Single(Errors());

    private static string Place(string file, string text, int at)
    {
        int line = text.AsSpan(0, at).Count('\n') + 1;
        int column = at - (text[..at].LastIndexOf('\n') + 1) + 1;
        return $"{file}:{line}:{column}";
    }

    public void Dispose() => Directory.Delete(Folder, recursive: true);
}
