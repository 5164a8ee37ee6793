using System.Globalization;
using System.Text.RegularExpressions;
using System.Xml.Linq;

namespace Barostep.Tests.Certificates;

/// <summary>
/// The rules of the published Schematron (dcc.sch), which needs XSLT 2, written again: all errors and warnings except
/// those over relative uncertainties, which our documents do not use. The lists of codes are read from the published file.
/// </summary>
internal static partial class PublishedRules
{
    private static readonly XNamespace _dcc = "https://ptb.de/dcc";
    private static readonly XNamespace _si = "https://ptb.de/si";

    private static readonly string[] _lists =
    [
        "valueXMLList", "unitXMLList", "labelXMLList", "dateTimeXMLList", "uncertaintyXMLList", "coverageFactorXMLList",
        "coverageProbabilityXMLList", "distributionXMLList", "standardUncXMLList", "intervalMinXMLList", "intervalMaxXMLList",
    ];

    public static IReadOnlyList<string> Broken(XDocument document) =>
    [
        .. Declared(document, "usedMethods", "methods"),
        .. Declared(document, "usedSoftware", "software"),
        .. Declared(document, "influenceConditions", "conditions"),
        .. Version(document),
        .. References(document),
        .. Languages(document),
        .. Dates(document),
        .. Releases(document),
        .. Codes(document),
        .. UncertaintyCounts(document),
        .. Units(document),
        .. UnitsOutsideTheSi(document),
        .. Lists(document),
    ];

    // Patterns 1 to 3: globally, for the list, or for each quantity.
    private static IEnumerable<string> Declared(XDocument document, string element, string what)
    {
        bool Globally(XElement inside) => inside.Ancestors(_dcc + "measurementResult").Elements(_dcc + element).Any();
        foreach (XElement list in document.Descendants(_dcc + "measurementResults").Descendants(_dcc + "list").Where(list => !list.Ancestors(_dcc + "metaData").Any()))
        {
            XElement[] quantities = [.. list.Elements(_dcc + "quantity")];
            if (!list.Elements(_dcc + element).Any() && !Globally(list) && quantities.Any(quantity => quantity.Element(_dcc + element) is null))
                yield return $"missing {what} for a list";
        }

        foreach (XElement quantity in document.Descendants(_dcc + "result").Elements(_dcc + "data").Elements(_dcc + "quantity"))
        {
            if (quantity.Element(_dcc + element) is null && !Globally(quantity))
                yield return $"missing {what} for a quantity";
        }
    }

    private static IEnumerable<string> Version(XDocument document)
    {
        if (document.Root!.Attribute("schemaVersion")?.Value != "3.3.0")
            yield return "schema version outdated";
    }

    private static IEnumerable<string> References(XDocument document)
    {
        HashSet<string> ids = [.. Attributes(document, "id")];
        string[] referred = [.. Attributes(document, "refId").SelectMany(value => value.Split(' '))];
        foreach (string id in ids.Where(id => !referred.Contains(id)))
            yield return $"unlinked id {id}";
        foreach (string refId in Attributes(document, "refId").Where(value => !value.Split(' ').Any(ids.Contains)))
            yield return $"invalid reference {refId}";
    }

    private static IEnumerable<string> Languages(XDocument document)
    {
        string[] declared = [.. document.Descendants(_dcc + "usedLangCodeISO639_1").Select(code => code.Value)];
        if (declared.Distinct().Count() != declared.Length)
            yield return "duplicate language code";
        foreach (XElement holder in document.Descendants().Where(element => element.Elements(_dcc + "content").Any()))
        {
            string[] local = [.. holder.Elements(_dcc + "content").Attributes("lang").Select(lang => lang.Value)];
            foreach (string lang in local.Where(lang => !declared.Contains(lang)))
                yield return $"language code {lang} is not declared";
            if (local.Length > 0 && local.Length != declared.Length)
                yield return $"only [{string.Join(", ", local)}] of the declared languages";
            if (local.Distinct().Count() != local.Length)
                yield return "duplicate language of content";
            bool named = new[] { "name", "further", "referral" }.Any(name => holder.Parent?.Element(_dcc + name) is not null);
            if (!named && holder.Elements(_dcc + "content").Any(content => content.Attribute("lang") is null))
                yield return "language attribute missing";
        }
    }

    private static IEnumerable<string> Dates(XDocument document)
    {
        foreach (XElement core in document.Descendants(_dcc + "coreData"))
        {
            DateOnly Day(string name) => DateOnly.ParseExact(core.Element(_dcc + name)!.Value, "yyyy-MM-dd", CultureInfo.InvariantCulture);
            if (Day("beginPerformanceDate") > Day("endPerformanceDate"))
                yield return "invalid date range";
        }
    }

    private static IEnumerable<string> Releases(XDocument document) => document.Descendants(_dcc + "release")
        .Where(release => !Release().IsMatch(release.Value))
        .Select(release => $"invalid release {release.Value}");

    private static IEnumerable<string> Codes(XDocument document)
    {
        string rules = File.ReadAllText(Path.Combine(PublishedSchemas.Folder, "dcc.sch"));
        HashSet<string> languages = CodesOf(rules, "lc");
        HashSet<string> countries = CodesOf(rules, "cc");
        foreach (XElement code in document.Descendants().Where(element => element.Name.LocalName.EndsWith("LangCodeISO639_1", StringComparison.Ordinal)))
        {
            if (!languages.Contains(code.Value))
                yield return $"invalid language code {code.Value}";
        }

        foreach (XElement code in document.Descendants(_dcc + "countryCodeISO3166_1").Where(code => !countries.Contains(code.Value)))
            yield return $"invalid country code {code.Value}";
    }

    // As published for the deprecated element, and held here against the one that replaces it as well.
    private static IEnumerable<string> UncertaintyCounts(XDocument document)
    {
        foreach (XElement list in document.Descendants(_si + "realListXMLList"))
        {
            int values = Count(list.Element(_si + "valueXMLList")!);
            foreach (string name in new[] { "uncertaintyXMLList", "valueExpandedMUXMLList", "coverageFactorXMLList", "coverageProbabilityXMLList" })
            {
                if (list.Descendants(_si + name).Any(one => Count(one) > 1 && Count(one) != values))
                    yield return $"count of {name} differs from that of the values";
            }
        }
    }

    private static IEnumerable<string> Units(XDocument document)
    {
        foreach (XElement unit in document.Descendants(_si + "real").Elements(_si + "unit").Where(unit => unit.Value.Contains(' ', StringComparison.Ordinal)))
            yield return $"unit with a space: {unit.Value}";
        foreach (XElement units in document.Descendants(_si + "unitXMLList").Where(units => Count(units) > 1))
        {
            if (Count(units) != Count(units.Parent!.Element(_si + "valueXMLList")!))
                yield return "count of units differs from that of the values";
            if (units.Value.Split(' ').Distinct().Count() == 1)
                yield return "the same unit repeated";
        }
    }

    // As published for single values, and held here against lists as well.
    private static IEnumerable<string> UnitsOutsideTheSi(XDocument document)
    {
        HashSet<string> declared = [.. document.Descendants(_dcc + "statement").Elements(_dcc + "nonSIUnit").Select(unit => unit.Value)];
        foreach (XElement unit in document.Descendants(_si + "hybrid").Descendants().Where(element => element.Name == _si + "unit" || element.Name == _si + "unitXMLList"))
        {
            if (unit.Value.StartsWith('|') && unit.Value.Length > 1 && !declared.Contains(unit.Value))
                yield return $"undeclared unit {unit.Value}";
        }

        foreach (XElement unit in document.Descendants(_dcc + "nonSIUnit").Where(unit => unit.ElementsBeforeSelf(_dcc + "nonSIDefinition").Count() != 1))
            yield return $"no definition of {unit.Value}";
        foreach (XElement definition in document.Descendants(_dcc + "nonSIDefinition").Where(definition => definition.ElementsAfterSelf(_dcc + "nonSIUnit").Count() != 1))
            yield return $"no unit for {definition.Value}";
    }

    private static IEnumerable<string> Lists(XDocument document)
    {
        foreach (XElement list in document.Descendants().Where(element => element.Name.Namespace == _si && _lists.Contains(element.Name.LocalName)))
        {
            if (!OneSpace().IsMatch(list.Value))
                yield return $"spacing of {list.Name.LocalName}";
        }

        foreach (string value in Attributes(document, "refType").Concat(Attributes(document, "refId")).Where(value => !OneSpace().IsMatch(value)))
            yield return $"spacing of attribute {value}";
    }

    private static IEnumerable<string> Attributes(XDocument document, string name) => document.Descendants().Attributes(name).Select(attribute => attribute.Value);

    private static int Count(XElement list) => list.Value.Split(' ').Length;

    private static HashSet<string> CodesOf(string rules, string variable)
    {
        string text = rules[rules.IndexOf($"name=\"{variable}\"", StringComparison.Ordinal)..];
        return [.. Code().Matches(text[..text.IndexOf("/>", StringComparison.Ordinal)]).Select(match => match.Groups[1].Value)];
    }

    [GeneratedRegex(@"^[a-zA-Z]{1}( )?([0-9]{1,3}\.){0,3}([0-9]{1,3})$")]
    private static partial Regex Release();

    [GeneratedRegex(@"^([^\s]+\s)*([^\s]+)$")]
    private static partial Regex OneSpace();

    [GeneratedRegex("'([A-Za-z]{2})'")]
    private static partial Regex Code();
}
