using Barostep.Configuration.Toml;

namespace Barostep.Configuration;

/// <summary>Gathers errors while reading goes on, so that all of them are shown together.</summary>
internal sealed class ErrorList
{
    private readonly List<ConfigurationError> _errors = [];

    public int Count => _errors.Count;

    public IEnumerable<string> Files => _errors.Select(error => error.Where.File);

    public void Add(SourcePosition where, string found, string rule, string instead) =>
        Add(new ConfigurationError(where, found, rule, instead));

    /// <summary>Takes an error; control characters that a file brought into it are made visible.</summary>
    public void Add(ConfigurationError error) => _errors.Add(error with
    {
        Found = MessageText.Printable(error.Found),
        Rule = MessageText.Printable(error.Rule),
        Instead = MessageText.Printable(error.Instead),
    });

    public void AddRange(IEnumerable<ConfigurationError> more) => _errors.AddRange(more);

    /// <summary>All errors by place; what is said twice of one place is said once.</summary>
    public IReadOnlyList<ConfigurationError> Sorted() =>
        [.. _errors.Distinct().OrderBy(error => error.Where).ThenBy(error => error.Found, StringComparer.Ordinal)];
}
