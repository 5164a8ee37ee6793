using System.Text.RegularExpressions;
using Barostep.Configuration;

namespace Barostep.Tests.Configuration;

/// <summary>The page and the program name the same keys: the program lists its own when it meets an unknown one.</summary>
public sealed partial class ConfigurationPageTests
{
    private const string Stranger = "zzzzzzzz";

    private static readonly string Page = File.ReadAllText(Path.Combine(ShippedConfiguration.Repository, "docs", "configuration.md"));

    public static TheoryData<string, string> Tables()
    {
        var tables = new TheoryData<string, string>();
        foreach (Match heading in Heading().Matches(Page))
        {
            MatchCollection names = Bracketed().Matches(heading.Groups["tables"].Value);
            foreach (string name in names.Select(match => match.Groups["name"].Value).DefaultIfEmpty(string.Empty))
                tables.Add(heading.Groups["file"].Value, name);
        }

        return tables;
    }

    [Theory]
    [MemberData(nameof(Tables))]
    public void The_page_lists_the_keys_that_a_table_takes(string file, string table)
    {
        using var files = new ConfigurationFixture(ShippedConfiguration.Folder);

        Plant(files, file, table);

        ConfigurationError unknown = Assert.Single(files.Load().Errors, error => error.Found == $"unknown key {Stranger}");
        string[] taken = unknown.Rule[(unknown.Rule.IndexOf(" takes ", StringComparison.Ordinal) + 7)..].Split(", ");
        Assert.Equal(taken.Order(StringComparer.Ordinal), KeysOnPage(file, table).Order(StringComparer.Ordinal));
    }

    [Fact]
    public void The_page_covers_every_kind_of_file()
    {
        string[] files = [.. Heading().Matches(Page).Select(match => match.Groups["file"].Value).Distinct()];

        Assert.Equal(
            [
                "barostep.toml", "benches/NAME.toml", "devices/NAME.toml", "instruments/NAME.toml", "jobs/NAME.toml", "procedures/NAME.toml",
                "standards/NAME.toml",
            ],
            files.Order(StringComparer.Ordinal));
    }

    [Fact]
    public void The_example_on_the_page_is_accepted()
    {
        string example = Page[Page.IndexOf("    # devices/my-gauge.toml", StringComparison.Ordinal)..];
        using ConfigurationFixture files = new ConfigurationFixture(ShippedConfiguration.Folder)
            .Write("devices/my-gauge.toml", example.Replace("\n    ", "\n", StringComparison.Ordinal).TrimStart());

        LoadedConfiguration loaded = files.Load();

        Assert.Empty(loaded.Errors);
        Assert.Contains("my-gauge", loaded.Configuration.Devices.Keys);
    }

    private static void Plant(ConfigurationFixture files, string file, string table)
    {
        string folder = file.Split('/')[0];
        string[] candidates = folder == file
            ? [file]
            : [.. Directory.GetFiles(Path.Combine(files.Folder, folder)).Order(StringComparer.Ordinal).Select(path => $"{folder}/{Path.GetFileName(path)}")];
        string last = table.Split('.')[^1];
        foreach (string candidate in candidates)
        {
            string text = files.Read(candidate);
            string header = Regex.Escape($"[{table}]").Replace("NAME", "[a-z0-9_-]+", StringComparison.Ordinal);
            Match place = table.Length == 0
                ? Regex.Match(text, "^")
                : Regex.Match(text, $@"^{header}\n|^{Regex.Escape(last)} = \{{ ", RegexOptions.Multiline);
            if (!place.Success)
                continue;
            string separator = place.Value.EndsWith("{ ", StringComparison.Ordinal) ? ", " : "\n";
            files.Write(candidate, text.Insert(place.Index + place.Length, $"{Stranger} = 1{separator}"));
            return;
        }

        // A table that no shipped file has can still be written.
        Assert.DoesNotContain("NAME", table, StringComparison.Ordinal);
        files.Append(candidates[0], $"\n[{table}]\n{Stranger} = 1\n");
    }

    internal static IEnumerable<string> KeysOnPage(string file, string table)
    {
        Match heading = Heading().Matches(Page).Single(match => match.Groups["file"].Value == file
            && (table.Length == 0 ? match.Groups["tables"].Value.Trim().Length == 0 : match.Groups["tables"].Value.Contains($"[{table}]", StringComparison.Ordinal)));
        int end = Page.IndexOf("\n#", heading.Index + 1, StringComparison.Ordinal);
        return Row().Matches(Page[heading.Index..end]).SelectMany(row => Key().Matches(row.Groups["keys"].Value)).Select(key => key.Groups["key"].Value);
    }

    [GeneratedRegex(@"^### (?<file>[\w/]+\.toml)(?<tables>.*)$", RegexOptions.Multiline)]
    private static partial Regex Heading();

    [GeneratedRegex(@"\[(?<name>[\w.]+)\]")]
    private static partial Regex Bracketed();

    [GeneratedRegex(@"^\| (?<keys>`[^|]*) \|", RegexOptions.Multiline)]
    private static partial Regex Row();

    [GeneratedRegex("`(?<key>[^`]+)`")]
    private static partial Regex Key();
}
