using System.Globalization;
using Barostep.Configuration;
using Barostep.Evaluation.Decisions;
using Barostep.Evaluation.Uncertainty;
using Barostep.Records;

namespace Barostep.Evaluation;

/// <summary>Uncertainty and decision of each point as a text table, and the budget of one point that anyone can add up again.</summary>
public static class DecisionTable
{
    /// <summary>A risk below this is not worth a digit.</summary>
    private const double LeastRisk = 0.0001;

    /// <summary>Nothing where no uncertainty is known.</summary>
    public static void Write(TextWriter writer, RunResult result)
    {
        ArgumentNullException.ThrowIfNull(writer);
        ArgumentNullException.ThrowIfNull(result);
        PointResult[] known = [.. result.Points.Where(point => point.Decision is not null)];
        if (known.Length == 0)
            return;
        DeviceDefinition device = result.Record.Device;
        double unit = device.Unit.PascalsAsDouble;
        writer.WriteLine();
        writer.WriteLine($"decision by {InWords(result.Agreement)}; figures in {device.Unit}, U for 95 %");
        writer.WriteLine(" #        error E          U     k  limit L  accept A  TUR  wrong by   decision");
        foreach (PointResult point in known)
            writer.WriteLine(Row(point, device.SpanPascals, unit, ResultFormat.DecimalsForUncertainty(point.Uncertainty!.Value / unit)));
        PointResult riskiest = known.MaxBy(point => point.Decision!.RiskOfBeingWrong)!;
        writer.WriteLine(Invariant($"TUR is L/U. \"wrong by\" is the probability that the decision of a point is wrong; the largest is {Risk(riskiest.Decision!.RiskOfBeingWrong)} at point {riskiest.Index}."));
    }

    /// <summary>The budget of the point whose U is largest beside its limit.</summary>
    public static void WriteLargestBudget(TextWriter writer, RunResult result)
    {
        PointResult? largest = result.Points.Where(point => point.Budget is not null).MaxBy(point => point.Uncertainty!.Value / point.LimitOfSpan);
        if (largest is not null)
            WriteBudget(writer, largest);
    }

    /// <summary>The budget of one point, in Pa; it has one.</summary>
    public static void WriteBudget(TextWriter writer, PointResult point)
    {
        MeasurementModel model = MeasurementModel.Sum(point.Budget!.Inputs);
        string direction = point.Direction == SeriesDirection.Ascending ? "up" : "down";
        var definition = new BudgetDefinition(
            Invariant($"budget of point {point.Index}, {direction}, cycle {point.Cycle}"),
            "E", "Pa", string.Empty, model, SecondOrder: false, CoverageChoice.StudentT, RunBudgets.Probability, MonteCarloDigits: null);
        writer.WriteLine();
        BudgetTable.Write(writer, definition, point.Budget, null);
    }

    /// <summary>The agreed rule with its parameter.</summary>
    public static string InWords(DecisionAgreement agreement) => agreement.Rule switch
    {
        AgreedRule.PlainLimit => "plain limit: A = L",
        AgreedRule.KeepAway => Invariant($"keep away: A = L - {agreement.GuardBandOfUncertainty:0.##} U"),
        AgreedRule.FourZones => Invariant($"four zones: {agreement.GuardBandOfUncertainty:0.##} U on both sides of L"),
        AgreedRule.RiskOfThisDevice => Invariant($"risk of this device: at most {agreement.MostFalseAccept * 100:0.###} % falsely accepted"),
        AgreedRule.RiskOfAllDevices => Invariant($"risk of all devices: at most {agreement.MostFalseAccept * 100:0.###} % falsely accepted, errors scattering by {agreement.PriorDeviationOfSpan * 100:0.####} % of span"),
        _ => throw new ArgumentOutOfRangeException(nameof(agreement), agreement.Rule, "unknown rule"),
    };

    /// <summary>What a zone is called.</summary>
    public static string Word(DecisionZone zone) => zone switch
    {
        DecisionZone.Pass => "pass",
        DecisionZone.ConditionalPass => "conditional pass",
        DecisionZone.ConditionalFail => "CONDITIONAL FAIL",
        DecisionZone.Fail => "FAIL",
        _ => throw new ArgumentOutOfRangeException(nameof(zone), zone, "unknown zone"),
    };

    /// <summary>A probability in per cent, or a bound where it is too small to matter.</summary>
    public static string Risk(double probability) => probability < LeastRisk
        ? Invariant($"< {LeastRisk * 100:0.##} %")
        : Invariant($"{probability * 100:0.##} %");

    private static string Row(PointResult point, double span, double unit, int decimals)
    {
        ToleranceDecision decision = point.Decision!;
        ExpandedUncertainty uncertainty = point.Uncertainty!;
        double limit = point.LimitOfSpan * span / unit;
        string accept = decision.Acceptance.IsEmpty ? "none" : ResultFormat.Plain(decision.Acceptance.Upper / unit, decimals);
        double ratio = limit * unit / uncertainty.Value;
        return Invariant($"{point.Index,2} {(point.Direction == SeriesDirection.Ascending ? "up" : "down"),-4} {ResultFormat.Signed(point.Values!.ErrorPascals / unit, decimals),10} {ResultFormat.Plain(uncertainty.Value / unit, decimals),10}  {uncertainty.CoverageFactor:0.00} {ResultFormat.Plain(limit, decimals),8} {accept,9} {ratio,4:0.0} {Risk(decision.RiskOfBeingWrong),9}   {Word(decision.Zone)}");
    }

    private static string Invariant(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
