using Tomlyn.Syntax;

namespace Barostep.Simulators;

/// <summary>One table of a bench file: takes values by key, and knows which keys nobody took.</summary>
internal sealed class BenchTable
{
    private readonly string _file;
    private readonly string _name;
    private readonly int _line;
    private readonly List<string> _errors;
    private readonly Dictionary<string, ValueSyntax> _values = new(StringComparer.Ordinal);
    private readonly HashSet<string> _known = new(StringComparer.Ordinal);

    public BenchTable(string file, string name, int line, SyntaxList<KeyValueSyntax>? items, List<string> errors)
    {
        _file = file;
        _name = name;
        _line = line;
        _errors = errors;
        foreach (KeyValueSyntax item in items ?? [])
        {
            _values[item.Key!.ToString().Trim()] = item.Value!;
        }
    }

    public bool Has(string key) => _values.ContainsKey(key);

    public string Text(string key, string? otherwise = null) => Take(key, otherwise is null) switch
    {
        null => otherwise ?? string.Empty,
        StringValueSyntax text => text.Value ?? string.Empty,
        ValueSyntax other => Wrong(other, key, "is no text: write it in double quotes", string.Empty),
    };

    public bool Flag(string key, bool otherwise) => Take(key, required: false) switch
    {
        null => otherwise,
        BooleanValueSyntax flag => flag.Value,
        ValueSyntax other => Wrong(other, key, "is neither true nor false: write one of them", otherwise),
    };

    /// <summary>A number within bounds; required when there is nothing otherwise.</summary>
    public double Number(string key, double from, double to, double? otherwise = null)
    {
        ValueSyntax? value = Take(key, otherwise is null);
        double number = value switch
        {
            null => otherwise ?? from,
            FloatValueSyntax real => real.Value,
            IntegerValueSyntax whole => whole.Value,
            _ => double.NaN,
        };
        return number >= from && number <= to
            ? number
            : Wrong(value!, key, $"must be a number from {from} to {to}", from);
    }

    public long Micros(string key, double fromMs, double toMs, long otherwise) =>
        (long)Math.Round(1000 * Number(key, fromMs, toMs, otherwise / 1000.0));

    /// <summary>A pressure with its reference as absolute Pa; required when there is nothing otherwise.</summary>
    public double Absolute(string key, double atmospherePa, double? otherwise = null)
    {
        ValueSyntax? value = Take(key, otherwise is null);
        return value switch
        {
            null => otherwise ?? 0,
            StringValueSyntax text when PressureText.TryAbsolute(text.Value ?? string.Empty, atmospherePa, out double pressure) => pressure,
            _ => Wrong(value, key, $"is no pressure: {PressureText.Form}", atmospherePa),
        };
    }

    /// <summary>A pressure with its reference as gauge Pa.</summary>
    public double GaugePressure(string key, double atmospherePa, double? otherwise = null) =>
        Absolute(key, atmospherePa, otherwise + atmospherePa) - atmospherePa;

    /// <summary>A pressure difference as Pa.</summary>
    public double Difference(string key, double otherwise)
    {
        ValueSyntax? value = Take(key, required: false);
        return value switch
        {
            null => otherwise,
            StringValueSyntax text when PressureText.TryDifference(text.Value ?? string.Empty, out double pressure) => pressure,
            _ => Wrong(value, key, $"is no pressure difference: {PressureText.DifferenceForm}", otherwise),
        };
    }

    /// <summary>One of a few words.</summary>
    public T Word<T>(string key, T? otherwise, params (string Word, T Meaning)[] words)
        where T : struct
    {
        string given = Text(key, otherwise is null ? null : string.Empty);
        foreach ((string word, T meaning) in words)
        {
            if (given == word)
            {
                return meaning;
            }
        }

        if (otherwise is { } meant && !Has(key))
        {
            return meant;
        }

        if (Has(key))
        {
            Wrong(_values[key], key, $"must be one of {string.Join(", ", words.Select(w => $"\"{w.Word}\""))}", 0);
        }

        return words[0].Meaning;
    }

    /// <summary>Reports something about a key's value that only the caller can judge.</summary>
    public void Refuse(string key, string rule) =>
        _errors.Add($"{_file}:{LineOf(key)}: '{key}' in {_name} {rule}");

    /// <summary>Reports every key that nobody took.</summary>
    public void RefuseUnknownKeys()
    {
        foreach (string key in _values.Keys.Where(k => !_known.Contains(k)))
        {
            Refuse(key, $"is unknown: {_name} takes {string.Join(", ", _known.Order(StringComparer.Ordinal))}");
        }
    }

    private int LineOf(string key) => _values.TryGetValue(key, out ValueSyntax? value) ? value.Span.Start.Line + 1 : _line;

    private ValueSyntax? Take(string key, bool required)
    {
        _known.Add(key);
        if (_values.TryGetValue(key, out ValueSyntax? value))
        {
            return value;
        }

        if (required)
        {
            Refuse(key, "is missing: it has no default, write it");
        }

        return null;
    }

    private T Wrong<T>(ValueSyntax value, string key, string rule, T otherwise)
    {
        string found = value.ToString().Trim();
        _errors.Add($"{_file}:{value.Span.Start.Line + 1}: '{key}' in {_name} is {found}, which {(rule.StartsWith("is", StringComparison.Ordinal) ? rule : "will not do: it " + rule)}");
        return otherwise;
    }
}
