namespace Barostep.Evaluation.Devices;

/// <summary>Accuracy class of a dial gauge after EN 837-1: the permissible error in per cent of span, everywhere on the scale.</summary>
/// <remarks>Classes, error and hysteresis rule from EN 837-1; holds at the reference temperature of 20 °C.</remarks>
/// <param name="PercentOfSpan">0.1 to 4; the class's own name.</param>
/// <param name="LeastPoints">Test points to take at least, spread evenly.</param>
public sealed record DialGaugeClass(double PercentOfSpan, int LeastPoints)
{
    public static readonly IReadOnlyList<DialGaugeClass> All =
        [new(0.1, 10), new(0.25, 10), new(0.6, 10), new(1.0, 5), new(1.6, 5), new(2.5, 5), new(4.0, 4)];

    /// <summary>Permissible error as a share of span; the hysteresis may not exceed it either.</summary>
    public double ErrorOfSpan => PercentOfSpan / 100;

    /// <summary>The class of that name, or null where EN 837-1 has none.</summary>
    public static DialGaugeClass? Find(double percentOfSpan) => All.FirstOrDefault(one => one.PercentOfSpan == percentOfSpan);

    /// <summary>The best class that a device's largest error and hysteresis still fit; null where not even class 4 holds them.</summary>
    public static DialGaugeClass? BestFor(double largestErrorOfSpan, double largestHysteresisOfSpan = 0) =>
        All.FirstOrDefault(one => Math.Max(Math.Abs(largestErrorOfSpan), Math.Abs(largestHysteresisOfSpan)) <= one.ErrorOfSpan);
}
