using Barostep.Configuration;
using Barostep.Configuration.Toml;
using Barostep.Evaluation.Formulas;

namespace Barostep.Evaluation.Uncertainty;

/// <summary>What came of reading a budget file: the budget, or all that is wrong, sorted by place.</summary>
public sealed record LoadedBudget(BudgetDefinition? Budget, IReadOnlyList<ConfigurationError> Errors);

/// <summary>Reads a measurement model with its inputs from a TOML file; docs/evaluation.md lists the keys.</summary>
public sealed class BudgetFile
{
    private static readonly Dictionary<string, CoverageChoice> _coverages = new(StringComparer.Ordinal)
    {
        ["t"] = CoverageChoice.StudentT,
        ["ea-4/02"] = CoverageChoice.Ea402,
    };

    private readonly string _text;
    private readonly ErrorList _errors = new();
    private readonly FileContext _context;
    private readonly TableReader _root;

    private BudgetFile(string file, string text)
    {
        _text = text;
        _context = new FileContext(file, _errors, new SourceMap());
        _root = _context.Parse(text);
    }

    /// <summary>Never throws for what the file says.</summary>
    /// <param name="file">As it is to be called in messages.</param>
    public static LoadedBudget Read(string file, string text)
    {
        ArgumentNullException.ThrowIfNull(file);
        ArgumentNullException.ThrowIfNull(text);
        BudgetFile reader = new(file, text);
        BudgetDefinition? budget = reader.Read();
        IReadOnlyList<ConfigurationError> errors = reader._errors.Sorted();
        return new LoadedBudget(errors.Count == 0 ? budget : null, errors);
    }

    private BudgetDefinition? Read()
    {
        string title = _root.TextOr("title", string.Empty, "Length of an end gauge");
        string? quantity = _root.Text("quantity", "l");
        string unit = _root.TextOr("unit", string.Empty, "nm");
        string? formula = _root.TextIfAny("formula", "a + b");
        bool hasFormula = _root.Has("formula");
        bool secondOrder = _root.Has("second_order") && _root.Truth("second_order") == true;
        _root.Allow("second_order");
        CoverageChoice coverage = _root.ChoiceIfAny("coverage", _coverages) ?? CoverageChoice.StudentT;
        double probability = _root.Has("coverage_probability") ? _root.Ratio("coverage_probability", 0.5, 0.9999) ?? 0.95 : 0.95;
        _root.Allow("coverage_probability");
        int? digits = _root.Has("monte_carlo_digits") ? (int?)_root.Whole("monte_carlo_digits", 1, 2) : null;
        _root.Allow("monte_carlo_digits");
        (IReadOnlyList<TableReader> tables, UncertaintyInput[] inputs) = ReadInputs(hasFormula);
        string[] names = [.. tables.Select(NameOf)];
        Correlation[] correlations = ReadCorrelations(names);
        _root.Close();
        // Also where an input is wrong, so that one reading tells as much as possible.
        Formula? parsed = ParseFormula(formula, names, tables);
        if (!_context.IsUsable)
            return null;
        return ModelOf(parsed, inputs, correlations, secondOrder) is { } model
            ? new BudgetDefinition(title, quantity!, unit, formula ?? string.Empty, model, secondOrder, coverage, probability, digits)
            : null;
    }

    private (IReadOnlyList<TableReader> Tables, UncertaintyInput[] Inputs) ReadInputs(bool hasFormula)
    {
        List<TableReader> tables = [];
        List<UncertaintyInput> inputs = [];
        foreach ((string name, TableReader table) in _root.Tables("inputs"))
        {
            if (hasFormula && !IsName(name))
                _context.Report(table.Where, $"input {MessageText.OneLine(name)}", "a name in a formula has letters, digits and _, and does not begin with a digit", "rename it");
            tables.Add(table);
            if (BudgetInputTable.Read(name, table, hasFormula) is { } input)
                inputs.Add(input);
        }

        if (tables.Count == 0)
            _context.ReportMissing(_root.Where, "[inputs.NAME]", "[inputs.NAME] with its keys below, once for each input");
        return (tables, [.. inputs]);
    }

    private Correlation[] ReadCorrelations(IReadOnlyList<string> inputs)
    {
        List<Correlation> correlations = [];
        foreach ((string _, TableReader table) in _root.Tables("correlations"))
        {
            IReadOnlyList<TomlEntry> between = table.NamesIfAny("between");
            double? coefficient = table.Ratio("r", -1, 1);
            table.Close();
            string[] names = [.. between.Select(entry => ((TomlValue.Text)entry.Value).Value)];
            if (names.Length != 2 || names[0] == names[1])
            {
                _context.Report(table.At("between"), $"{table.PathOf("between")} has {names.Distinct().Count()} names", "a correlation is between two different inputs", "write for example between = [\"a\", \"b\"]");
                continue;
            }

            foreach (TomlEntry entry in between.Where(entry => !inputs.Contains(((TomlValue.Text)entry.Value).Value)))
                _context.Report(entry.ValueAt, $"{entry.Written} is no input", $"the inputs are {string.Join(", ", inputs)}", "write one of these");
            if (coefficient is { } r)
                correlations.Add(new Correlation(names[0], names[1], r));
        }

        return [.. correlations];
    }

    private Formula? ParseFormula(string? text, string[] names, IReadOnlyList<TableReader> tables)
    {
        if (text is null)
            return null;
        try
        {
            Formula formula = Formula.Parse(text, names);
            foreach (TableReader table in tables.Where(table => !formula.Uses(NameOf(table))))
                _context.ReportKeepingUsable(table.Where, $"input {NameOf(table)} does not occur in the formula", "every input has an influence", "add it to the formula or delete it");
            return formula;
        }
        catch (FormulaException wrong)
        {
            _context.Report(PlaceInFormula(text, wrong.Position), wrong.Found, wrong.Rule, wrong.Instead);
            return null;
        }
    }

    private MeasurementModel? ModelOf(Formula? formula, UncertaintyInput[] inputs, Correlation[] correlations, bool secondOrder)
    {
        try
        {
            MeasurementModel model = formula is null ? MeasurementModel.Sum(inputs, correlations) : MeasurementModel.Of(formula, inputs, correlations);
            model.Budget(secondOrder);
            return model;
        }
        catch (ArgumentException impossible)
        {
            string[] parts = impossible.Message.Split("; ", 2);
            _context.Report(
                formula is null ? _root.Where : PlaceInFormula(formula.Text, 0),
                parts[0],
                "a budget needs a value, finite derivatives and correlations that are possible together",
                parts.Length > 1 ? parts[1] : "correct the formula or the values");
            return null;
        }
    }

    // A text that stands between plain quotation marks has its characters where they are counted.
    private SourcePosition PlaceInFormula(string formula, int position)
    {
        SourcePosition start = _root.At("formula");
        string[] lines = _text.Split('\n');
        string line = start.Line <= lines.Length ? lines[start.Line - 1] : string.Empty;
        bool isPlain = start.Column < line.Length && line.AsSpan(start.Column).StartsWith(formula, StringComparison.Ordinal);
        return isPlain ? start with { Column = start.Column + 1 + position } : start;
    }

    private static string NameOf(TableReader input) => input.Path["inputs.".Length..];

    private static bool IsName(string name) =>
        name.Length > 0 && !char.IsAsciiDigit(name[0]) && name.All(character => char.IsAsciiLetterOrDigit(character) || character == '_');
}
