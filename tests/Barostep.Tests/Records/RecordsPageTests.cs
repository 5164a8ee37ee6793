using System.Runtime.CompilerServices;
using System.Text.Json;
using System.Text.RegularExpressions;
using Barostep.Configuration;
using Barostep.Records;
using Microsoft.Data.Sqlite;

namespace Barostep.Tests.Records;

public sealed partial class RecordsPageTests
{
    private static readonly string _page = File.ReadAllText(PathOfPage());

    [Fact]
    public void The_page_names_the_columns_of_readings_csv_in_their_order()
    {
        string[] named = [.. FirstCells(Section("readings.csv")).Select(name => name.Replace("<unit>", "bar", StringComparison.Ordinal))];

        foreach ((DeviceOutput output, string column) in new[]
        {
            (DeviceOutput.Current, "output_a"), (DeviceOutput.Voltage, "output_v"), (DeviceOutput.Digital, "output_pa"),
        })
        {
            IEnumerable<string> ofDevice = named.Where(name => !name.StartsWith("output_", StringComparison.Ordinal) || name == column);
            Assert.Equal(ReadingsCsv.Columns(SampleRuns.Transmitter with { Output = output }), ofDevice);
        }
    }

    [Fact]
    public void The_page_names_the_members_of_run_json_in_their_order()
    {
        string section = Section("run.json");
        using JsonDocument file = JsonDocument.Parse(RunJsonTests.Written(SampleRuns.Run(SampleRuns.Transmitter, SampleRuns.UpAndDown, (_, _, _) => 0)));

        foreach (string part in new[] { "record", "result" })
        {
            string paragraph = section[section.IndexOf($"- `{part}`:", StringComparison.Ordinal)..];
            string[] named = [.. CodeWords().Matches(paragraph).Select(match => match.Groups[1].Value)];
            IEnumerable<string> members = file.RootElement.GetProperty(part).EnumerateObject().Select(member => member.Name);
            Assert.Equal(members, named.Skip(1).Where(name => members.Contains(name)).Distinct().Take(members.Count()));
        }
    }

    [Fact]
    public void The_page_names_every_table_and_column_of_the_store()
    {
        DirectoryInfo folder = Directory.CreateTempSubdirectory("barostep-page-");
        try
        {
            string path = Path.Combine(folder.FullName, "runs.db");
            RunStore.Open(path).Dispose();

            Dictionary<string, string[]> tables = Tables(path);
            string[] rows = [.. Section("The run store").Split('\n').Where(line => line.StartsWith("| `", StringComparison.Ordinal))];

            Assert.Equal(tables.Keys.Order(), rows.Select(row => CodeWords().Match(row).Groups[1].Value).Order());
            foreach (string row in rows)
            {
                string[] named = [.. CodeWords().Matches(row).Select(match => match.Groups[1].Value)];
                Assert.Equal(tables[named[0]], named[1..]);
            }
        }
        finally
        {
            folder.Delete(recursive: true);
        }
    }

    private static Dictionary<string, string[]> Tables(string path)
    {
        using SqliteConnection connection = new($"Data Source={path};Pooling=False");
        connection.Open();
        using SqliteCommand command = connection.CreateCommand();
        command.CommandText =
            "SELECT t.name, c.name FROM sqlite_schema t JOIN pragma_table_info(t.name) c WHERE t.type = 'table' ORDER BY t.name, c.cid";
        using SqliteDataReader reader = command.ExecuteReader();
        List<(string Table, string Column)> rows = [];
        while (reader.Read())
            rows.Add((reader.GetString(0), reader.GetString(1)));
        return rows.GroupBy(row => row.Table).ToDictionary(table => table.Key, table => table.Select(row => row.Column).ToArray());
    }

    private static string Section(string title)
    {
        int start = _page.IndexOf($"\n## {title}\n", StringComparison.Ordinal);
        Assert.True(start >= 0, $"docs/records.md has no section {title}");
        int end = _page.IndexOf("\n## ", start + 4, StringComparison.Ordinal);
        return end < 0 ? _page[start..] : _page[start..end];
    }

    private static IEnumerable<string> FirstCells(string section) => section.Split('\n')
        .Where(line => line.StartsWith("| `", StringComparison.Ordinal))
        .SelectMany(line => CodeWords().Matches(line.Split('|')[1]).Select(match => match.Groups[1].Value));

    private static string PathOfPage([CallerFilePath] string here = "") =>
        Path.Combine(Path.GetDirectoryName(here)!, "..", "..", "..", "docs", "records.md");

    [GeneratedRegex("`([^`]+)`")]
    private static partial Regex CodeWords();
}
