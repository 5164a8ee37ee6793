namespace Barostep.Evaluation.Characteristics;

/// <summary>How much work an uncertainty asks for (EURAMET cg-17, clause 5.2), as shares of span.</summary>
/// <param name="Points">Evenly over the range, zero included, read up and down.</param>
/// <param name="Cycles">Complete cycles.</param>
/// <param name="LeastUncertaintyOfSpan">No smaller U (k = 2) may be reported from it; 0 where only the cycles decide.</param>
public sealed record CalibrationEffort(string Name, int Points, int Cycles, double LeastUncertaintyOfSpan)
{
    /// <summary>For U above 0.2 % of span.</summary>
    public static readonly CalibrationEffort Basic = new("basic", 6, 1, 0.002);

    /// <summary>For U from 0.05 % to 0.2 % of span.</summary>
    public static readonly CalibrationEffort Standard = new("standard", 11, 1, 0.0005);

    /// <summary>For U below 0.05 % of span.</summary>
    public static readonly CalibrationEffort Comprehensive = new("comprehensive", 11, 3, 0);

    /// <summary>The least that an intended uncertainty (k = 2) asks for.</summary>
    public static CalibrationEffort For(double intendedUncertaintyOfSpan) =>
        intendedUncertaintyOfSpan > Basic.LeastUncertaintyOfSpan ? Basic
        : intendedUncertaintyOfSpan >= Standard.LeastUncertaintyOfSpan ? Standard
        : Comprehensive;

    /// <summary>U as it may be reported.</summary>
    public double Reported(double uncertaintyOfSpan) => Math.Max(uncertaintyOfSpan, LeastUncertaintyOfSpan);
}
