using Barostep.Configuration.Toml;

namespace Barostep.Configuration.Files;

/// <summary>Reads <c>[laboratory]</c>.</summary>
internal static class LaboratoryTable
{
    private const int LongestPrefix = 20;

    public static Laboratory? Read(TableReader table)
    {
        string? name = table.Text("name", "Pressure workshop");
        string? street = table.Text("street", "Boiler House Lane 4");
        string? postCode = table.Text("post_code", "04711");
        string? city = table.Text("city", "Northfield");
        string? country = table.Text("country", "DE");
        if (country is not null and not [>= 'A' and <= 'Z', >= 'A' and <= 'Z'])
        {
            table.File.ReportKeepingUsable(table.At("country"), $"laboratory.country = \"{country}\"",
                "a country is two capital letters of ISO 3166-1", "write for example country = \"DE\"");
        }

        string contact = table.TextOr("contact", string.Empty, "extension 214");
        string? prefix = table.Text("certificate_prefix", "DH-P-");
        table.Close();
        if (prefix is not null && (prefix.Length > LongestPrefix || !prefix.All(IsPrefixCharacter)))
        {
            table.File.Report(table.At("certificate_prefix"), $"{table.PathOf("certificate_prefix")} = \"{MessageText.OneLine(prefix)}\"",
                "it has at most 20 letters, digits, -, _ and . since it becomes part of file names", "write for example \"DH-P-\"");
        }

        return name is not null && street is not null && postCode is not null && city is not null && country is not null && prefix is not null
            ? new Laboratory(name, street, postCode, city, country, contact, prefix)
            : null;
    }

    private static bool IsPrefixCharacter(char character) => char.IsAsciiLetterOrDigit(character) || character is '-' or '_' or '.';
}
