namespace Barostep.Configuration.Toml;

/// <summary>Plain numbers: figures whose unit stands beside them because it is the author's own.</summary>
internal sealed partial class TableReader
{
    /// <summary>A finite number.</summary>
    public double? Number(string key, string example)
    {
        if (Required(key, $"{key} = {example}") is not { } entry)
            return null;
        return FiniteOf(entry.Value) ?? WrongValue<double>(entry, key, "it is a finite number without quotation marks", $"write for example {key} = {example}");
    }

    public double? NumberIfAny(string key, string example) => Asked(key) ? Number(key, example) : null;

    /// <summary>A list of finite numbers, of a least length; null where it is missing or any of them is wrong.</summary>
    public IReadOnlyList<double>? NumbersIfAny(string key, int least, string example)
    {
        if (!Asked(key) || Required(key, $"{key} = {example}") is not { } entry)
            return null;
        if (entry.Value is not TomlValue.List list || list.Items.Count < least)
            return Wrong<IReadOnlyList<double>>(entry, key, $"it is a list of {least} numbers or more", $"write for example {key} = {example}");
        double?[] values = [.. list.Items.Select(item => FiniteOf(item.Value) ?? WrongItem(item))];
        return values.Contains(null) ? null : [.. values.Select(value => value.GetValueOrDefault())];
    }

    private static double? FiniteOf(TomlValue value) => value switch
    {
        TomlValue.Number number when double.IsFinite(number.Value) => number.Value,
        TomlValue.Whole whole => whole.Value,
        _ => null,
    };

    private double? WrongItem(TomlEntry item)
    {
        if (item.Value is TomlValue.Broken)
            file.NotUsable();
        else
            file.Report(item.ValueAt, Shown(item.Key, item), "it is a finite number without quotation marks", "correct it");
        return null;
    }
}
