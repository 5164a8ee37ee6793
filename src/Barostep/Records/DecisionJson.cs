using System.Text.Json;
using Barostep.Configuration;

namespace Barostep.Records;

/// <summary>Decision rules with their parameters as JSON, as members of whatever agreed on them.</summary>
internal static class DecisionJson
{
    public static void Write(Utf8JsonWriter json, DecisionAgreement agreement)
    {
        json.WriteString("decisionRule", JsonWords.Of(agreement.Rule));
        json.WriteNumber("guardBandOfUncertainty", agreement.GuardBandOfUncertainty);
        json.WriteNumber("mostFalseAccept", agreement.MostFalseAccept);
        json.WriteNumber("priorDeviationOfSpan", agreement.PriorDeviationOfSpan);
    }

    /// <summary>The plain limit where no rule was written yet.</summary>
    public static DecisionAgreement Read(JsonPlace json) => json.MemberIfAny("decisionRule") is not { } rule
        ? DecisionAgreement.PlainLimit
        : new DecisionAgreement(
            rule.Word<AgreedRule>(),
            json.Member("guardBandOfUncertainty").Number(),
            json.MemberIfAny("mostFalseAccept")?.Number() ?? DecisionAgreement.UsualRisk,
            json.MemberIfAny("priorDeviationOfSpan")?.Number() ?? 0);
}
