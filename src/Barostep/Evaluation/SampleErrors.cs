using Barostep.Configuration;
using Barostep.Evaluation.Corrections;
using Barostep.Records;

namespace Barostep.Evaluation;

/// <summary>One sample that counts: the reference at the moment of the indication, and both in Pa with all corrections.</summary>
/// <param name="Output">A, V or Pa.</param>
public readonly record struct SampleError(double ReferencePascals, double IndicationPascals, double Output)
{
    public double ErrorPascals => IndicationPascals - ReferencePascals;
}

/// <summary>Brings reference and indication of each sample to the same moment.</summary>
/// <remarks>
/// The two are asked one after the other, so a pressure that still drifts would show as an error. A reading counts
/// for the middle between its request and its reply. The reference at the indication's moment is interpolated linearly
/// between the two reference readings of the point around it; before the first and after the last, where there is
/// nothing to interpolate with, the nearest reading stands.
/// </remarks>
public static class SampleErrors
{
    /// <summary>The samples that are not void, in order of time whatever the order in which they are listed.</summary>
    /// <param name="corrections">Null: the readings stand as they were told.</param>
    public static IReadOnlyList<SampleError> Of(DeviceDefinition device, IReadOnlyList<Sample> samples, RunCorrections? corrections = null)
    {
        List<Sample> counted = [.. samples.Where(sample => !sample.Void)];
        List<RawReading> references = [.. counted.Select(sample => sample.Reference).OrderBy(TwiceMiddle).ThenBy(reading => reading.Value)];
        return
        [
            .. counted
                .Select(sample => sample.Indication)
                .OrderBy(TwiceMiddle)
                .ThenBy(reading => reading.Value)
                .Select(reading => Corrected(device, corrections, ReferenceAt(references, TwiceMiddle(reading)), reading.Value)),
        ];
    }

    private static SampleError Corrected(DeviceDefinition device, RunCorrections? corrections, double reference, double told)
    {
        double output = corrections?.Output(told) ?? told;
        return new SampleError(corrections?.Reference(reference) ?? reference, Transfer.ToPascals(device, output), output);
    }

    /// <summary>The reference value, as told, at the indication's moment of one sample, void or not, among its point's samples.</summary>
    public static double ReferenceAt(IReadOnlyList<Sample> samples, Sample sample)
    {
        // A void sample has no neighbours to trust; it is shown with its own reference.
        if (sample.Void)
            return sample.Reference.Value;
        List<RawReading> references = [.. samples.Where(s => !s.Void).Select(s => s.Reference).OrderBy(TwiceMiddle).ThenBy(r => r.Value)];
        return ReferenceAt(references, TwiceMiddle(sample.Indication));
    }

    private static double ReferenceAt(List<RawReading> references, long twiceMoment)
    {
        int after = references.FindIndex(reading => TwiceMiddle(reading) >= twiceMoment);
        if (after < 0)
            return references[^1].Value;
        if (after == 0 || TwiceMiddle(references[after]) == twiceMoment)
            return references[after].Value;
        RawReading left = references[after - 1];
        RawReading right = references[after];
        double share = (double)(twiceMoment - TwiceMiddle(left)) / (TwiceMiddle(right) - TwiceMiddle(left));
        return left.Value + (share * (right.Value - left.Value));
    }

    // Twice the middle stays a whole number of microseconds.
    private static long TwiceMiddle(RawReading reading) => reading.AskedMicros + reading.AnsweredMicros;
}
