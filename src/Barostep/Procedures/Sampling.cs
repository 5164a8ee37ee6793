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

    /// <summary>Adds a sample where one is due and a reading of each side is at hand; a device's reading is used once.</summary>
    public static SequencerState Take(RunPlan plan, SequencerState state, in SequencerInput seen)
    {
        IndicationReading indication = seen.Indication;
        SensorReading reference = seen.Bench.Reference;
        bool due = indication.Count != state.IndicationCount && indication.AskedMicros >= Math.Max(state.NextSampleMicros, state.PhaseSinceMicros);
        bool paired = reference.IsGood && Math.Abs(reference.AnsweredAtMicros - indication.AnsweredMicros) <= PairingMicros;
        if (!due || !paired)
            return state;
        var sample = new Sample(
            new RawReading(
                plan.InDeviceReference(reference.Value),
                seen.Bench.ReferenceRaw.ToString(),
                reference.AskedAtMicros,
                reference.AnsweredAtMicros),
            new RawReading(Told(plan, indication), indication.Raw.ToString(), indication.AskedMicros, indication.AnsweredMicros),
            seen.Bench.SamplesVoid);
        return state with
        {
            Samples = state.Samples.Add(sample),
            IndicationCount = indication.Count,
            NextSampleMicros = Math.Max(state.NextSampleMicros, seen.NowMicros - plan.Procedure.SampleIntervalMicros)
                + plan.Procedure.SampleIntervalMicros,
        };
    }

    /// <summary>What the device told: Pa in its own reference, A, or V.</summary>
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
        Math.Abs(Transfer.ToPascals(plan.Device, sample.Indication.Value) - sample.Reference.Value) <= ProbeShare * plan.Device.SpanPascals;

    /// <summary>What the probe found, for people.</summary>
    public static string DescribeProbe(RunPlan plan, Sample sample)
    {
        double unit = plan.Device.Unit.PascalsAsDouble;
        return string.Create(
            CultureInfo.InvariantCulture,
            $"the device does not follow: it tells {Transfer.ToPascals(plan.Device, sample.Indication.Value) / unit:0.###} {plan.Device.Unit} where the reference tells {sample.Reference.Value / unit:0.###} {plan.Device.Unit}; check its label, its range and its wiring");
    }
}
