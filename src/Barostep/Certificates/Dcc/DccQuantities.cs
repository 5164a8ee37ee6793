using System.Globalization;

namespace Barostep.Certificates.Dcc;

/// <summary>Values and lists of values, in SI units beside the customer's.</summary>
internal sealed class DccQuantities(DccWriter dcc)
{
    /// <summary>Stands in a list for a figure that is not known, so that all lists of a table keep their length.</summary>
    private const string Unknown = "NaN";

    // A factor such as that of the torr does not end: more digits than these would say nothing.
    private const int MostDecimals = 9;

    /// <summary>One named value.</summary>
    public void Real(string refType, string name, decimal value, string unit) => dcc.Element("quantity", refType, () =>
    {
        dcc.Text("name", name);
        dcc.Si("real", () =>
        {
            dcc.SiValue("value", DccWriter.Number(value));
            dcc.SiValue("unit", unit);
        });
    });

    /// <summary>One named list.</summary>
    public void List(string refType, string name, DccUnit unit, IReadOnlyList<decimal?> values, Uncertainties? uncertainties = null, Action? metaData = null) =>
        dcc.Element("quantity", refType, () =>
        {
            dcc.Text("name", name);
            Lists(unit, values, uncertainties);
            if (metaData is not null)
                dcc.Element("measurementMetaData", metaData);
        });

    /// <summary>The values alone.</summary>
    public void Lists(DccUnit unit, IReadOnlyList<decimal?> values, Uncertainties? uncertainties = null)
    {
        if (unit.IsSiUnit)
        {
            XmlList(values, unit.Spelling, 1, uncertainties);
            return;
        }

        dcc.Si("hybrid", () =>
        {
            XmlList(values, unit.SiSpelling, unit.Factor, uncertainties);
            XmlList(values, unit.Spelling, 1, uncertainties);
        });
    }

    public void Words(string refType, string name, IEnumerable<string> words) => dcc.Element("quantity", refType, () =>
    {
        dcc.Text("name", name);
        dcc.Value("charsXMLList", string.Join(' ', words));
    });

    private void XmlList(IReadOnlyList<decimal?> values, string unit, decimal factor, Uncertainties? uncertainties) => dcc.Si("realListXMLList", () =>
    {
        dcc.SiValue("valueXMLList", Joined(values, factor));
        dcc.SiValue("unitXMLList", unit);
        if (uncertainties is null)
            return;
        dcc.Si("measurementUncertaintyUnivariateXMLList", () => dcc.Si("expandedMUXMLList", () =>
        {
            dcc.SiValue("valueExpandedMUXMLList", Joined(uncertainties.Expanded, factor));
            dcc.SiValue("coverageFactorXMLList", Joined(uncertainties.CoverageFactors, 1));
            dcc.SiValue("coverageProbabilityXMLList", Joined(uncertainties.Probabilities, 1));
        }));
    });

    private static string Joined(IReadOnlyList<decimal?> values, decimal factor) => string.Join(' ', values.Select(value => Text(value, factor)));

    // As shown, the figure keeps its trailing zeros; converted, they would claim digits that it does not have.
    private static string Text(decimal? value, decimal factor) => value switch
    {
        null => Unknown,
        { } number when factor == 1 => number.ToString(CultureInfo.InvariantCulture),
        { } number => DccWriter.Number(decimal.Round(number * factor, MostDecimals)),
    };

    /// <summary>What a list of values carries of its uncertainty, one entry for each value.</summary>
    internal sealed record Uncertainties(
        IReadOnlyList<decimal?> Expanded,
        IReadOnlyList<decimal?> CoverageFactors,
        IReadOnlyList<decimal?> Probabilities);
}
