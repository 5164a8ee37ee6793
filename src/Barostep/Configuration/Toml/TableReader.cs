using Barostep.Configuration.Quantities;
using Barostep.Safety;

namespace Barostep.Configuration.Toml;

/// <summary>Takes typed values out of a table; what is wrong is noted, and reading goes on.</summary>
/// <remarks>
/// A getter gives null where the key is missing or its value is not what it must be. <see cref="Close"/> then
/// refuses every key that was never asked for.
/// </remarks>
internal sealed partial class TableReader(TomlTable table, FileContext file)
{
    private readonly HashSet<string> _asked = new(StringComparer.Ordinal);

    public IEnumerable<TomlEntry> Entries => table.Entries;

    public string Path => table.Path;

    public SourcePosition Where => table.Where;

    public FileContext File => file;

    public bool Has(string key) => table.Find(key) is not null;

    /// <summary>Lets a key stand that is looked at elsewhere.</summary>
    public void Allow(string key) => _asked.Add(key);

    /// <summary>Place of a key's value, or of the table where the key was not written.</summary>
    public SourcePosition At(string key) => table.Find(key)?.ValueAt ?? table.Where;

    public string PathOf(string key) => table.PathOf(key);

    public string? Text(string key, string example)
    {
        if (Required(key, $"{key} = \"{example}\"") is not { } entry)
            return null;
        if (entry.Value is not TomlValue.Text text)
            return Wrong<string>(entry, key, "it is a text in quotation marks", $"write {key} = \"{example}\"");
        return text.Value.Trim().Length > 0
            ? text.Value
            : Wrong<string>(entry, key, "it must not be empty", $"write for example {key} = \"{example}\"");
    }

    public string TextOr(string key, string otherwise, string example) => Asked(key) ? Text(key, example) ?? otherwise : otherwise;

    public string? TextIfAny(string key, string example) => Asked(key) ? Text(key, example) : null;

    public long? Whole(string key, long least, long most)
    {
        if (Required(key, $"{key} = {least}") is not { } entry)
            return null;
        if (entry.Value is not TomlValue.Whole whole)
            return WrongValue<long>(entry, key, "it is a whole number without quotation marks", $"write a number from {least} to {most}");
        return whole.Value >= least && whole.Value <= most
            ? whole.Value
            : WrongValue<long>(entry, key, $"it lies from {least} to {most}", $"write a number from {least} to {most}");
    }

    public long WholeOr(string key, long otherwise, long least, long most) => Asked(key) ? Whole(key, least, most) ?? otherwise : otherwise;

    /// <summary>A plain ratio, written as a number.</summary>
    public double? Ratio(string key, double least, double most)
    {
        if (Required(key, $"{key} = {least.ToString(MessageText.Plain)}") is not { } entry)
            return null;
        double? value = entry.Value switch
        {
            TomlValue.Number number => number.Value,
            TomlValue.Whole whole => whole.Value,
            _ => null,
        };
        string rule = string.Create(MessageText.Plain, $"it is a number from {least} to {most}");
        return value >= least && value <= most ? value : WrongValue<double>(entry, key, rule, "write it without quotation marks and unit");
    }

    public bool? Truth(string key)
    {
        if (Required(key, $"{key} = true") is not { } entry)
            return null;
        return entry.Value is TomlValue.Truth truth
            ? truth.Value
            : WrongValue<bool>(entry, key, "it is true or false without quotation marks", $"write {key} = true or {key} = false");
    }

    public bool TruthOr(string key, bool otherwise) => Asked(key) ? Truth(key) ?? otherwise : otherwise;

    /// <summary>A day, written as TOML writes it: without quotation marks.</summary>
    public DateOnly? Day(string key)
    {
        if (Required(key, $"{key} = 2026-01-31") is not { } entry)
            return null;
        if (entry.Value is TomlValue.Date { Day: { } day })
            return day;
        return WrongValue<DateOnly>(entry, key, "it is a day, year-month-day, without quotation marks", $"write for example {key} = 2026-01-31");
    }

    public T? Choice<T>(string key, IReadOnlyDictionary<string, T> choices)
        where T : struct
    {
        string all = string.Join(", ", choices.Keys.Select(choice => $"\"{choice}\""));
        if (Required(key, $"{key} = one of {all}") is not { } entry)
            return null;
        if (entry.Value is TomlValue.Text text && choices.TryGetValue(text.Value, out T chosen))
            return chosen;
        string? near = entry.Value is TomlValue.Text written ? NearestName.Of(written.Value, choices.Keys) : null;
        return WrongValue<T>(entry, key, $"it is one of {all}", near is null ? "write one of these" : $"did you mean {key} = \"{near}\"");
    }

    public T? ChoiceIfAny<T>(string key, IReadOnlyDictionary<string, T> choices)
        where T : struct => Asked(key) ? Choice(key, choices) : null;

    /// <summary>The bytes that end a message, written as a text with escapes.</summary>
    public string? LineEnding(string key)
    {
        if (Required(key, $"{key} = \"\\n\"") is not { } entry)
            return null;
        if (entry.Value is TomlValue.Text { Value.Length: >= 1 and <= 4 } text && text.Value.All(char.IsAscii))
            return text.Value;
        return Wrong<string>(entry, key, "it is a text of 1 to 4 ASCII characters", "write \"\\n\", \"\\r\" or \"\\r\\n\"");
    }

    public double RatioOr(string key, double otherwise, double least, double most) =>
        Asked(key) ? Ratio(key, least, most) ?? otherwise : otherwise;

    public bool HasBelow(string tableKey, string key) =>
        table.Find(tableKey)?.Value is TomlValue.Table inner && inner.Value.Find(key) is not null;

    public StatedPressure? Pressure(string key, string example)
    {
        if (Required(key, $"{key} = \"{example}\"") is not { } entry)
            return null;
        if (QuantityIn(entry, "a pressure", "its unit and \"gauge\" or \"absolute\"", example, bareSuffix: "bar gauge") is not { } text)
            return null;
        QuantityFault? fault = QuantityText.ReadPressure(text, out StatedPressure pressure);
        if (fault is not null)
            return WrongValue<StatedPressure>(entry, key, fault.Rule, fault.Instead);
        bool belowVacuum = pressure is { Reference: PressureReference.Absolute, Value: < 0m };
        return belowVacuum
            ? WrongValue<StatedPressure>(entry, key, "an absolute pressure is not below 0", "write \"gauge\" if it counts from the atmosphere")
            : pressure;
    }

    public StatedPressure? PressureIfAny(string key, string example) => Asked(key) ? Pressure(key, example) : null;

    /// <summary>A quantity in the base unit of its kind, between two limits written as in a file.</summary>
    public decimal? Quantity(string key, QuantityKind kind, string least, string most)
    {
        if (Required(key, $"{key} = \"{kind.Example}\"") is not { } entry)
            return null;
        return QuantityOf(entry, PathOf(key), kind, least, most);
    }

    public decimal? QuantityIfAny(string key, QuantityKind kind, string least, string most) =>
        Asked(key) ? Quantity(key, kind, least, most) : null;

    public decimal QuantityOr(string key, QuantityKind kind, string least, string most, decimal otherwise) =>
        QuantityIfAny(key, kind, least, most) ?? otherwise;

    /// <summary>A list of quantities; null where any of them is wrong.</summary>
    public IReadOnlyList<decimal>? Quantities(string key, QuantityKind kind, string least, string most)
    {
        if (Required(key, $"{key} = [\"{kind.Example}\"]") is not { } entry)
            return null;
        if (entry.Value is not TomlValue.List list || list.Items.Count == 0)
            return Wrong<IReadOnlyList<decimal>>(entry, key, "it is a list", $"write {key} = [\"{kind.Example}\", ...]");
        foreach (TomlEntry item in list.Items)
            file.Origins.Add(item.Key, item.ValueAt);
        decimal?[] values = [.. list.Items.Select(item => QuantityOf(item, item.Key, kind, least, most))];
        return values.Contains(null) ? null : [.. values.Select(value => value.GetValueOrDefault())];
    }

    /// <summary>A list of names with their places.</summary>
    public IReadOnlyList<TomlEntry> NamesIfAny(string key)
    {
        if (!Asked(key) || table.Find(key) is not { } entry)
            return [];
        file.Origins.Add(PathOf(key), entry.ValueAt);
        if (entry.Value is TomlValue.List list && list.Items.All(item => item.Value is TomlValue.Text))
            return list.Items;
        file.Report(entry.ValueAt, $"{PathOf(key)} = {entry.Written}", "it is a list of names", $"write {key} = [\"NAME\"]");
        return [];
    }

    public TableReader? Table(string key)
    {
        if (Required(key, $"[{PathOf(key)}] and its keys") is not { } entry)
            return null;
        return entry.Value is TomlValue.Table inner
            ? new TableReader(inner.Value, file)
            : Wrong<TableReader>(entry, key, "it is a table", $"write [{PathOf(key)}] with its keys below");
    }

    public TableReader? TableIfAny(string key) => Asked(key) ? Table(key) : null;

    /// <summary>All tables below a table, each with its own name.</summary>
    public IEnumerable<(string Name, TableReader Table)> Tables(string key)
    {
        if (TableIfAny(key) is not { } parent)
            yield break;
        foreach (TomlEntry entry in parent.Entries)
        {
            if (entry.Value is TomlValue.Table inner)
                yield return (entry.Key, new TableReader(inner.Value, file));
            else
                file.Report(entry.KeyAt, $"{parent.PathOf(entry.Key)} has a value", "it is a table", $"write [{parent.PathOf(entry.Key)}] with its keys below");
        }
    }

    /// <summary>Refuses the keys that nobody asked for.</summary>
    public void Close()
    {
        foreach (TomlEntry entry in table.Entries.Where(entry => !_asked.Contains(entry.Key)))
        {
            string? near = NearestName.Of(entry.Key, _asked.Where(name => !Has(name))) ?? NearestName.Of(entry.Key, _asked);
            string place = table.Path.Length == 0 ? "this file" : $"[{table.Path}]";
            file.ReportKeepingUsable(entry.KeyAt, $"unknown key {MessageText.OneLine(entry.Key)}",
                $"{place} takes {string.Join(", ", _asked.Order(StringComparer.Ordinal))}",
                near is null ? "delete it" : $"did you mean {near}");
        }
    }

    private decimal? QuantityOf(TomlEntry entry, string path, QuantityKind kind, string least, string most)
    {
        if (QuantityIn(entry, kind.Name, "its unit", kind.Example, kind.Units.Keys.First()) is not { } text)
            return null;
        if (QuantityText.Read(text, kind, out decimal value) is { } fault)
            return Fault(fault.Rule, fault.Instead);
        QuantityText.Read(least, kind, out decimal low);
        QuantityText.Read(most, kind, out decimal high);
        return value >= low && value <= high ? value : Fault($"it lies from {least} to {most}", $"write for example \"{kind.Example}\"");

        decimal? Fault(string rule, string instead)
        {
            file.Report(entry.ValueAt, $"{Shown(path, entry)}", rule, instead);
            return null;
        }
    }

    private string? QuantityIn(TomlEntry entry, string kind, string with, string example, string bareSuffix)
    {
        switch (entry.Value)
        {
            case TomlValue.Text text:
                return text.Value;
            case TomlValue.Whole or TomlValue.Number:
                file.Report(entry.ValueAt, $"{Shown(PathOfEntry(entry), entry)} is a bare number",
                    $"{kind} is written as text with {with}", $"write \"{entry.Written} {Suffix(example, bareSuffix)}\" if that is the unit meant");
                return null;
            case TomlValue.Broken:
                file.NotUsable();
                return null;
            case TomlValue.Truth or TomlValue.List or TomlValue.Table or TomlValue.Date:
                file.Report(entry.ValueAt, Shown(PathOfEntry(entry), entry), $"{kind} is written as text with {with}", $"write for example \"{example}\"");
                return null;
            default:
                throw new InvalidOperationException($"A value of kind {entry.Value.GetType().Name} is not known here.");
        }
    }

    private static string Suffix(string example, string otherwise)
    {
        int blank = example.IndexOf(' ', StringComparison.Ordinal);
        return blank < 0 ? otherwise : example[(blank + 1)..];
    }

    private string PathOfEntry(TomlEntry entry) => entry.Key.Contains('.', StringComparison.Ordinal) ? entry.Key : PathOf(entry.Key);

    private static string Shown(string path, TomlEntry entry) => $"{path} = {entry.Written}";

    private bool Asked(string key)
    {
        _asked.Add(key);
        return Has(key);
    }

    private TomlEntry? Required(string key, string write)
    {
        _asked.Add(key);
        if (table.Find(key) is { } entry)
        {
            file.Origins.Add(PathOf(key), entry.ValueAt);
            return entry;
        }

        file.ReportMissing(table.Where, PathOf(key), write);
        return null;
    }

    private T? Wrong<T>(TomlEntry entry, string key, string rule, string instead)
        where T : class
    {
        if (entry.Value is TomlValue.Broken)
            file.NotUsable();
        else
            file.Report(entry.ValueAt, Shown(PathOf(key), entry), rule, instead);
        return null;
    }

    private T? WrongValue<T>(TomlEntry entry, string key, string rule, string instead)
        where T : struct
    {
        if (entry.Value is TomlValue.Broken)
            file.NotUsable();
        else
            file.Report(entry.ValueAt, Shown(PathOf(key), entry), rule, instead);
        return null;
    }
}
