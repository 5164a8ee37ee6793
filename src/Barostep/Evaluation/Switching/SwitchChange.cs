using Barostep.Configuration;
using Barostep.Evaluation.Corrections;
using Barostep.Records;

namespace Barostep.Evaluation.Switching;

/// <summary>The pressure at which a contact changed, from the readings around the change on a ramp.</summary>
/// <remarks>
/// A contact that is read at intervals changed somewhere between the request of the last reading before and the answer of
/// the first one after: the middle stands for it, and half of that time, at the rate of the ramp, is the half-width of a
/// rectangular contribution (GUM 4.3.7). The pressure at the middle is that of the straight line through the reference's
/// readings. The reference tells what was, by its lag, a little earlier: rate times lag is added, and half of that
/// correction is its half-width (trade practice).
/// </remarks>
/// <param name="Pascals">At the device, with all corrections, in its own reference.</param>
/// <param name="RatePascalsPerSecond">Of the ramp there; negative on a fall.</param>
/// <param name="HalfIntervalSeconds">Half of the time in which the change lies.</param>
/// <param name="LagSeconds">Of the reference.</param>
/// <param name="Readings">Of the reference, through which the line goes.</param>
/// <param name="DeviationPascals">Of one reading about the line; null with two.</param>
public sealed record SwitchChange(
    double Pascals, double RatePascalsPerSecond, double HalfIntervalSeconds, double LagSeconds, int Readings, double? DeviationPascals)
{
    private const double MicrosPerSecond = 1e6;

    /// <summary>Half-width for the time in which the change lies, Pa.</summary>
    public double IntervalHalfWidth => Math.Abs(RatePascalsPerSecond) * HalfIntervalSeconds;

    /// <summary>What was added for the reference's lag, Pa.</summary>
    public double LagCorrection => RatePascalsPerSecond * LagSeconds;

    /// <summary>Half-width for the lag, Pa.</summary>
    public double LagHalfWidth => Math.Abs(LagCorrection) / 2;

    /// <summary>The change of a ramp; null where the contact did not change, or a reading beside the change is void.</summary>
    /// <param name="contact">What the readings mean.</param>
    /// <param name="samples">In order of time.</param>
    /// <param name="tripping">Whether the ramp went towards the trip point.</param>
    /// <param name="corrections">Of the run.</param>
    /// <param name="lagSeconds">By how much the reference is behind.</param>
    public static SwitchChange? Of(SwitchContact contact, IReadOnlyList<Sample> samples, bool tripping, RunCorrections corrections, double lagSeconds)
    {
        ArgumentNullException.ThrowIfNull(contact);
        ArgumentNullException.ThrowIfNull(samples);
        ArgumentNullException.ThrowIfNull(corrections);
        int after = FirstAfter(contact, samples, tripping);
        if (after <= 0 || after == samples.Count || samples[after - 1].Void || samples[after].Void)
            return null;
        long from = samples[after - 1].Indication.AskedMicros;
        long to = samples[after].Indication.AnsweredMicros;
        double middle = from + ((to - from) / 2.0);
        RawReading[] references = [.. samples.Where(sample => !sample.Void).Select(sample => sample.Reference).DistinctBy(reading => reading.AnsweredMicros)];
        double[] seconds = [.. references.Select(reading => (((reading.AskedMicros + reading.AnsweredMicros) / 2.0) - middle) / MicrosPerSecond)];
        double[] pascals = [.. references.Select(reading => corrections.Reference(reading.Value))];
        return StraightLine.Fit(seconds, pascals) is not { } line ? null : new SwitchChange(
            line.Intercept + (line.Slope * lagSeconds),
            line.Slope,
            (to - from) / 2.0 / MicrosPerSecond,
            lagSeconds,
            references.Length,
            line.ResidualDeviation);
    }

    /// <summary>Position of the first reading of those at the end that all tell the change; a bounce before them does not count.</summary>
    private static int FirstAfter(SwitchContact contact, IReadOnlyList<Sample> samples, bool tripping)
    {
        int first = samples.Count;
        while (first > 0 && contact.IsTripped(samples[first - 1].Indication.Value) == tripping)
            first--;
        return first;
    }
}
