using Barostep.Configuration.Toml;

namespace Barostep.Configuration.Files;

/// <summary>Reads <c>[laboratory]</c>.</summary>
internal static class LaboratoryTable
{
    private const int LongestPrefix = 20;

    public static Laboratory? Read(TableReader table)
    {
        string? name = table.Text("name", "Pressure workshop");
        string? address = table.Text("address", "Boiler House Lane 4");
        string contact = table.TextOr("contact", string.Empty, "extension 214");
        string? prefix = table.Text("certificate_prefix", "DH-P-");
        table.Close();
        if (prefix is not null && (prefix.Length > LongestPrefix || !prefix.All(IsPrefixCharacter)))
        {
            table.File.Report(table.At("certificate_prefix"), $"{table.PathOf("certificate_prefix")} = \"{MessageText.OneLine(prefix)}\"",
                "it has at most 20 letters, digits, -, _ and . since it becomes part of file names", "write for example \"DH-P-\"");
        }

        return name is not null && address is not null && prefix is not null ? new Laboratory(name, address, contact, prefix) : null;
    }

    private static bool IsPrefixCharacter(char character) => char.IsAsciiLetterOrDigit(character) || character is '-' or '_' or '.';
}
