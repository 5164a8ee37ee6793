using System.Globalization;
using Barostep.Configuration.Toml;

namespace Barostep.Evaluation.Uncertainty;

/// <summary>Reads <c>[inputs.NAME]</c> of a budget file: how large an input is and what is believed of it.</summary>
internal sealed class BudgetInputTable
{
    private const double MostDegrees = 1e12;

    private static readonly string[] _ways = ["standard", "expanded", "half_width", "readings", "exact"];

    private static readonly Dictionary<string, Distribution> _distributions = new(StringComparer.Ordinal)
    {
        ["normal"] = Distribution.Normal,
        ["rectangular"] = Distribution.Rectangular,
        ["triangular"] = Distribution.Triangular,
        ["arcsine"] = Distribution.Arcsine,
        ["t"] = Distribution.StudentT,
    };

    private readonly string _name;
    private readonly TableReader _table;
    private readonly Distribution? _distribution;
    private readonly double _degrees;
    private readonly double _sensitivity;

    private BudgetInputTable(string name, TableReader table, bool hasFormula)
    {
        _name = name;
        _table = table;
        _distribution = table.ChoiceIfAny("distribution", _distributions);
        _degrees = table.Has("degrees_of_freedom") ? table.Ratio("degrees_of_freedom", 1e-3, MostDegrees) ?? 1 : double.PositiveInfinity;
        table.Allow("degrees_of_freedom");
        _sensitivity = ReadSensitivity(hasFormula);
    }

    /// <summary>The input, or null where something is wrong.</summary>
    public static UncertaintyInput? Read(string name, TableReader table, bool hasFormula)
    {
        BudgetInputTable reader = new(name, table, hasFormula);
        string unit = table.TextOr("unit", string.Empty, "nm");
        UncertaintyInput? input = reader.ReadOneWay();
        table.Close();
        if (input is { Distribution: Distribution.StudentT } && double.IsInfinity(input.DegreesOfFreedom))
        {
            table.File.Report(table.At("distribution"), "distribution = \"t\" without degrees_of_freedom", "a t distribution has degrees of freedom", "write for example degrees_of_freedom = 9");
            return null;
        }

        return input is null ? null : input with { Unit = unit };
    }

    private double ReadSensitivity(bool hasFormula)
    {
        if (!hasFormula)
            return _table.Number("sensitivity", "1") ?? 1;
        _table.Allow("sensitivity");
        if (_table.Has("sensitivity"))
            _table.File.Report(_table.At("sensitivity"), $"{_table.PathOf("sensitivity")} beside a formula", "a formula gives its sensitivity coefficients itself", "delete it");
        return 1;
    }

    private UncertaintyInput? ReadOneWay()
    {
        foreach (string key in _ways.Append("value").Append("coverage_factor"))
            _table.Allow(key);
        string[] written = [.. _ways.Where(_table.Has)];
        if (written.Length != 1)
        {
            _table.File.Report(
                _table.Where,
                written.Length == 0 ? $"[{_table.Path}] does not say how uncertain it is" : $"[{_table.Path}] has {string.Join(" and ", written)}",
                $"an input has one of {string.Join(", ", _ways)}",
                written.Length == 0 ? "write for example standard = 0.1, or exact = true for a constant" : "keep one of them");
            return null;
        }

        if (written[0] != "expanded")
            Refuse("coverage_factor", $"beside {written[0]}", "it belongs to expanded");
        return written[0] switch
        {
            "standard" => Standard(),
            "expanded" => Expanded(),
            "half_width" => Limits(),
            "readings" => Readings(),
            _ => Exact(),
        };
    }

    private UncertaintyInput? Standard() =>
        _table.Number("value", "0") is { } value && NotNegative("standard") is { } standard
            ? new UncertaintyInput(_name, value, standard, _sensitivity, _degrees, _distribution ?? Distribution.Normal)
            : null;

    private UncertaintyInput? Expanded()
    {
        double? value = _table.Number("value", "0");
        double? expanded = NotNegative("expanded");
        double? factor = _table.Ratio("coverage_factor", 0.1, 100);
        if (!OneOf("expanded", Distribution.Normal, Distribution.StudentT) || value is null || expanded is null || factor is null)
            return null;
        return UncertaintyInput.FromExpanded(_name, value.Value, expanded.Value, factor.Value, _sensitivity, _degrees) with { Distribution = _distribution ?? Distribution.Normal };
    }

    private UncertaintyInput? Limits()
    {
        double? value = _table.Number("value", "0");
        double? halfWidth = NotNegative("half_width");
        if (_distribution is null)
        {
            if (!_table.Has("distribution"))
                _table.File.ReportMissing(_table.Where, _table.PathOf("distribution"), "distribution = \"rectangular\", \"triangular\" or \"arcsine\"");
            return null;
        }

        if (!OneOf("half_width", Distribution.Rectangular, Distribution.Triangular, Distribution.Arcsine) || value is null || halfWidth is null)
            return null;
        return UncertaintyInput.FromLimits(_name, value.Value, halfWidth.Value, _sensitivity, _distribution.Value, _degrees);
    }

    private UncertaintyInput? Readings()
    {
        IReadOnlyList<double>? readings = _table.NumbersIfAny("readings", 2, "[10.01, 10.02, 10.01]");
        Refuse("value", "beside readings", "readings give their mean and degrees of freedom themselves");
        Refuse("degrees_of_freedom", "beside readings", "readings give their mean and degrees of freedom themselves");
        return OneOf("readings", Distribution.StudentT) && readings is not null
            ? UncertaintyInput.FromReadings(_name, [.. readings], _sensitivity)
            : null;
    }

    private UncertaintyInput? Exact()
    {
        double? value = _table.Number("value", "0");
        if (_table.Truth("exact") == false)
            _table.File.Report(_table.At("exact"), "exact = false", "an input that is not exact says how uncertain it is", "write for example standard = 0.1 in its place");
        Refuse("distribution", "beside exact", "a constant has no distribution");
        Refuse("degrees_of_freedom", "beside exact", "a constant has no distribution");
        return value is null ? null : new UncertaintyInput(_name, value.Value, 0, _sensitivity, double.PositiveInfinity, Distribution.Normal);
    }

    private void Refuse(string key, string beside, string rule)
    {
        if (_table.Has(key))
            _table.File.Report(_table.At(key), $"{_table.PathOf(key)} {beside}", rule, "delete it");
    }

    private double? NotNegative(string key)
    {
        if (_table.Number(key, "0.1") is not { } number)
            return null;
        if (number >= 0)
            return number;
        _table.File.Report(_table.At(key), string.Create(CultureInfo.InvariantCulture, $"{_table.PathOf(key)} = {number}"), "an uncertainty is 0 or above", "write it without its sign");
        return null;
    }

    private bool OneOf(string way, params Distribution[] allowed)
    {
        if (_distribution is not { } written || allowed.Contains(written))
            return true;
        IEnumerable<string> names = _distributions.Where(pair => allowed.Contains(pair.Value)).Select(pair => $"\"{pair.Key}\"");
        _table.File.Report(
            _table.At("distribution"),
            $"{_table.PathOf("distribution")} = \"{_distributions.First(pair => pair.Value == written).Key}\" beside {way}",
            $"with {way} it is {string.Join(" or ", names)}",
            "write one of these or state the input in another way");
        return false;
    }
}
