using System.Collections.Immutable;
using System.Globalization;
using Barostep.Configuration;
using Barostep.Control;
using Barostep.Evaluation;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Procedures;

/// <summary>Takes reference and device together, and judges what only both can tell.</summary>
internal static class Sampling
{
    /// <summary>A device that answers more slowly than this is not being read at one moment with the reference.</summary>
    private const long PairingMicros = 500_000;

    /// <summary>Largest difference of the device from the reference at the probe, as a share of span (SR-10).</summary>
    private const double ProbeShare = 0.10;

    /// <summary>Largest reading of the reference at a verified vent, as a share of the way to the highest set point (SR-09).</summary>
    private const double ZeroShare = 0.001;

    /// <summary>And this much for an absolute reference: the stated atmosphere is no better (SR-09).</summary>
    private const double BarometerPascals = 200;

    /// <summary>Adds a sample of every device for which one is due; a device that has all it needs is not asked further.</summary>
    /// <param name="takesPart">Whether a device is read in this step.</param>
    public static SequencerState TakeAll(RunPlan plan, SequencerState state, in SequencerInput seen, Func<RunPlan, bool> takesPart)
    {
        SequencerState taken = takesPart(plan) && state.Samples.Count < plan.Procedure.Samples ? Take(plan, state, seen) : state;
        for (int i = 0; i < plan.Beside.Count; i++)
        {
            BesideState beside = taken.Beside[i];
            if (takesPart(plan.Beside[i]) && beside.Samples.Count < plan.Procedure.Samples)
                taken = taken with { Beside = taken.Beside.SetItem(i, Take(plan.Beside[i], beside, state, seen, seen.Beside[i])) };
        }

        return taken;
    }

    /// <summary>Whether every device that is read in this step has given all its samples.</summary>
    public static bool IsComplete(RunPlan plan, SequencerState state, Func<RunPlan, bool> takesPart) =>
        (!takesPart(plan) || state.Samples.Count >= plan.Procedure.Samples)
        && !state.Beside.Where((beside, i) => takesPart(plan.Beside[i]) && beside.Samples.Count < plan.Procedure.Samples).Any();

    /// <summary>The devices beside the leading one before a reading that begins at a time.</summary>
    public static ImmutableList<BesideState> Cleared(ImmutableList<BesideState> beside, long nextSampleMicros) =>
        beside.ConvertAll(one => one with { Samples = [], NextSampleMicros = nextSampleMicros });

    /// <summary>Adds a sample where one is due and a reading of each side is at hand; a device's reading is used once.</summary>
    public static SequencerState Take(RunPlan plan, SequencerState state, in SequencerInput seen)
    {
        IndicationReading indication = seen.Indication;
        bool due = indication.Count != state.IndicationCount && indication.AskedMicros >= Math.Max(state.NextSampleMicros, state.PhaseSinceMicros);
        if (!due || Pair(plan, seen, indication) is not { } sample)
            return state;
        return state with
        {
            Samples = state.Samples.Add(sample),
            IndicationCount = indication.Count,
            NextSampleMicros = Math.Max(state.NextSampleMicros, seen.NowMicros - plan.Procedure.SampleIntervalMicros)
                + plan.Procedure.SampleIntervalMicros,
        };
    }

    private static BesideState Take(RunPlan plan, BesideState beside, SequencerState state, in SequencerInput seen, in IndicationReading indication)
    {
        SequencerState taken = Take(
            plan,
            state with { Samples = beside.Samples, IndicationCount = beside.IndicationCount, NextSampleMicros = beside.NextSampleMicros },
            seen with { Indication = indication });
        return beside with { Samples = taken.Samples, IndicationCount = taken.IndicationCount, NextSampleMicros = taken.NextSampleMicros };
    }

    /// <summary>A reading of a device with the reference's at the same moment; null where there is none.</summary>
    public static Sample? Pair(RunPlan plan, in SequencerInput seen, in IndicationReading indication)
    {
        SensorReading reference = seen.Bench.Reference;
        if (!reference.IsGood || Math.Abs(reference.AnsweredAtMicros - indication.AnsweredMicros) > PairingMicros)
            return null;
        return new Sample(
            new RawReading(
                plan.InDeviceReference(reference.Value),
                seen.Bench.ReferenceRaw.ToString(),
                reference.AskedAtMicros,
                reference.AnsweredAtMicros),
            new RawReading(Told(plan, indication), indication.Raw.ToString(), indication.AskedMicros, indication.AnsweredMicros),
            seen.Bench.SamplesVoid);
    }

    /// <summary>What the device told: Pa in its own reference, A, V, or for a contact ohm or V.</summary>
    public static double Told(RunPlan plan, in IndicationReading indication) => plan.Device.TellsPressure
        ? plan.InDeviceReference(Pressure.FromPascals(indication.Value))
        : indication.Value;

    /// <summary>Whether the reference told the atmosphere at a verified vent (SR-09).</summary>
    public static bool ReferenceReadsZero(RunPlan plan, ImmutableList<Sample> samples)
    {
        double atmosphere = plan.InDeviceReference(plan.Atmosphere);
        double mean = samples.Average(sample => sample.Reference.Value) - atmosphere;
        double allowed = (ZeroShare * (plan.Highest - plan.Atmosphere).Pascals)
            + (plan.Device.Reference == PressureReference.Absolute ? BarometerPascals : 0);
        return Math.Abs(mean) <= allowed;
    }

    /// <summary>Whether the device tells roughly what the reference tells (SR-10).</summary>
    public static bool DeviceFollows(RunPlan plan, Sample sample) =>
        plan.Device.Output == DeviceOutput.Contact
        || Math.Abs(Transfer.ToPascals(plan.Device, sample.Indication.Value) - sample.Reference.Value) <= ProbeShare * plan.Device.SpanPascals;

    /// <summary>What the probe found, for people.</summary>
    public static string DescribeProbe(RunPlan plan, Sample sample)
    {
        double unit = plan.Device.Unit.PascalsAsDouble;
        return string.Create(
            CultureInfo.InvariantCulture,
            $"{(plan.IsAlone ? "the device" : plan.Device.Name)} does not follow: it tells {Transfer.ToPascals(plan.Device, sample.Indication.Value) / unit:0.###} {plan.Device.Unit} where the reference tells {sample.Reference.Value / unit:0.###} {plan.Device.Unit}; check its label, its range and its wiring");
    }
}
