using Barostep.Configuration.Quantities;
using Barostep.Configuration.Toml;

namespace Barostep.Configuration.Files;

/// <summary>Reads a decision rule: its name and the parameters that go with it.</summary>
internal static class DecisionKeys
{
    private static readonly Dictionary<string, AgreedRule> Rules = new(StringComparer.Ordinal)
    {
        ["plain-limit"] = AgreedRule.PlainLimit,
        ["keep-away"] = AgreedRule.KeepAway,
        ["four-zones"] = AgreedRule.FourZones,
        ["risk-of-this-device"] = AgreedRule.RiskOfThisDevice,
        ["risk-of-all-devices"] = AgreedRule.RiskOfAllDevices,
    };

    /// <summary>The rule, or null where its name could not be read.</summary>
    /// <param name="ruleKey">The key that names it.</param>
    public static DecisionAgreement? Read(TableReader table, string ruleKey)
    {
        AgreedRule? rule = table.Choice(ruleKey, Rules);
        double multiple = table.RatioOr("guard_band_of_uncertainty", DecisionAgreement.UsualMultiple, 0, 3);
        decimal risk = table.QuantityOr("most_false_accept", QuantityKind.Share, "0.001 %", "50 %", (decimal)DecisionAgreement.UsualRisk);
        decimal? prior = table.QuantityIfAny("prior_deviation", QuantityKind.ShareOfSpan, "0.0001 % of span", "20 % of span");
        if (rule is not { } named)
            return null;
        string written = Rules.First(pair => pair.Value == named).Key;
        Only(table, ruleKey, written, "guard_band_of_uncertainty", named is AgreedRule.KeepAway or AgreedRule.FourZones);
        Only(table, ruleKey, written, "most_false_accept", named is AgreedRule.RiskOfThisDevice or AgreedRule.RiskOfAllDevices);
        Only(table, ruleKey, written, "prior_deviation", named is AgreedRule.RiskOfAllDevices);
        if (named == AgreedRule.RiskOfAllDevices && !table.Has("prior_deviation"))
            table.File.ReportMissing(table.At(ruleKey), table.PathOf("prior_deviation"), "prior_deviation = \"0.1 % of span\", how far devices of this kind scatter about 0");
        return new DecisionAgreement(named, multiple, (double)risk, (double)(prior ?? 0));
    }

    private static void Only(TableReader table, string ruleKey, string rule, string key, bool belongs)
    {
        if (belongs || !table.Has(key))
            return;
        table.File.Report(table.At(key), $"{table.PathOf(key)} beside {table.PathOf(ruleKey)} = \"{rule}\"",
            key == "guard_band_of_uncertainty" && rule == "plain-limit" ? "that rule has no guard band" : "that rule does not use it",
            key == "guard_band_of_uncertainty" ? $"delete it, or write {ruleKey} = \"keep-away\"" : "delete it, or choose the rule that it belongs to");
    }
}
