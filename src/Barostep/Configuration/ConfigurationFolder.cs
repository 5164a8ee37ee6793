using System.Text;

namespace Barostep.Configuration;

/// <summary>Reads the files of a configuration folder as text.</summary>
internal sealed class ConfigurationFolder(string path, ErrorList errors)
{
    // A definition has a few kilobytes; what is this large is some other file put here by mistake.
    private const long LargestFile = 1_000_000;

    private static readonly UTF8Encoding Strict = new(encoderShouldEmitUTF8Identifier: false, throwOnInvalidBytes: true);

    /// <summary>Names of the TOML files in a subfolder, sorted; empty where there is no such folder.</summary>
    public IReadOnlyList<string> NamesIn(string subfolder)
    {
        string full = Path.Combine(path, subfolder);
        if (!Directory.Exists(full))
            return [];
        var names = new List<string>();
        foreach (string file in Directory.GetFiles(full, "*.toml"))
        {
            string name = Path.GetFileNameWithoutExtension(file);
            if (name.All(IsNameCharacter))
                names.Add(name);
            else
                errors.Add(new SourcePosition($"{subfolder}/{Path.GetFileName(file)}", 0, 0), "the file's name cannot be a name in a command",
                    "names have letters, digits, - and _", "rename the file");
        }

        names.Sort(StringComparer.Ordinal);
        return names;
    }

    /// <summary>The text of a file, or null after noting why there is none.</summary>
    public string? ReadText(string file)
    {
        var where = new SourcePosition(file, 0, 0);
        try
        {
            var info = new FileInfo(Path.Combine(path, file));
            if (!info.Exists)
                return Refuse("there is no such file", "it must be there", $"write it, or name another folder than {path}");
            if (info.Length > LargestFile)
                return Refuse($"the file has {info.Length} bytes", "a configuration file has at most 1 MB", "remove what does not belong there");
            return Strict.GetString(File.ReadAllBytes(info.FullName)).TrimStart('\uFEFF');
        }
        catch (DecoderFallbackException)
        {
            return Refuse("the file is not UTF-8 text", "configuration files are UTF-8", "save it with that encoding");
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
        {
            return Refuse($"the file cannot be read: {failure.Message.TrimEnd('.')}", "the program reads every file at its start", "let the user it runs as read it");
        }

        string? Refuse(string found, string rule, string instead)
        {
            errors.Add(where, found, rule, instead);
            return null;
        }
    }

    private static bool IsNameCharacter(char character) => char.IsAsciiLetterOrDigit(character) || character is '-' or '_';
}
