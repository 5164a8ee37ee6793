using Barostep.Configuration;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Procedures;

/// <summary>What one step of a run is for.</summary>
public enum StepKind
{
    /// <summary>A person confirms that the bench is ready.</summary>
    Confirm,

    /// <summary>The device's zero is read, vented.</summary>
    Zero,

    /// <summary>A first low pressure at which the device must tell roughly what the reference tells.</summary>
    Probe,

    /// <summary>The pressure is brought to the target and held, and nothing is read.</summary>
    Preload,

    LeakTest,

    /// <summary>A point of a series.</summary>
    Point,

    /// <summary>A slow change until the contact of a pressure switch changes, or to the target where it does not.</summary>
    Ramp,
}

/// <summary>One step of a run, in absolute pressure.</summary>
/// <param name="Kind">What it is for.</param>
/// <param name="Target">The set point.</param>
/// <param name="ByVent">The target is the atmosphere itself: it is reached by venting, as a source cannot control there.</param>
/// <param name="Direction">Side from which a point is approached.</param>
/// <param name="Cycle">From 1; 0 outside the series.</param>
/// <param name="Turning">The first point of a series that starts where the last one ended: it has no side.</param>
public sealed record PlannedStep(
    StepKind Kind,
    Pressure Target,
    bool ByVent,
    SeriesDirection Direction = SeriesDirection.Ascending,
    int Cycle = 0,
    bool Turning = false)
{
    /// <summary>What a person is asked to confirm; null where nobody is asked.</summary>
    public string? Request { get; init; }

    /// <summary>Of a ramp: whose contact ends it, 0 for the leading device, then those beside it.</summary>
    public int Device { get; init; }

    /// <summary>Of a ramp: its rate, Pa/s; 0 for the procedure's own.</summary>
    public double RatePascalsPerSecond { get; init; }
}

/// <summary>The whole run, laid out before anything moves.</summary>
public sealed class RunPlan
{
    /// <summary>Height of the probe, as a share of the range: below the tenth that SR-10 allows.</summary>
    private const double ProbeOfRange = 0.08;

    private const int ReapproachesByHand = 3;

    private const string RemountRequest = "The bench is vented. Take the device off, mount it again in the same position, and confirm.";

    private RunPlan(
        IReadOnlyList<PlannedStep> steps, Procedure procedure, DeviceDefinition device, Pressure atmosphere, BenchDefinition? bench, IReadOnlyList<RunPlan> beside)
    {
        Beside = beside;
        ByHand = bench?.Person is not null;
        AnswersWithinMicros = bench?.AnswersWithinMicros ?? BenchDefinition.UsualAnswerMicros;
        Steps = steps;
        Procedure = procedure;
        Device = device;
        Atmosphere = atmosphere;
    }

    public IReadOnlyList<PlannedStep> Steps { get; }

    public Procedure Procedure { get; }

    public DeviceDefinition Device { get; }

    /// <summary>What gauge values count from.</summary>
    public Pressure Atmosphere { get; }

    /// <summary>The same steps as each device beside the leading one sees them.</summary>
    public IReadOnlyList<RunPlan> Beside { get; }

    /// <summary>Whether one device is calibrated by itself.</summary>
    public bool IsAlone { get; private init; } = true;

    /// <summary>Whether a person makes the pressure.</summary>
    public bool ByHand { get; }

    /// <summary>How long a person's answer is waited for under pressure.</summary>
    public long AnswersWithinMicros { get; }

    /// <summary>Longest wait for a point to be reached and still, from its request.</summary>
    public long LongestApproachMicros => ByHand ? Math.Max(Procedure.Settle.TimeoutMicros, AnswersWithinMicros) : Procedure.Settle.TimeoutMicros;

    /// <summary>How often a point that was passed is approached again: a hand needs more tries than a controller.</summary>
    public int MostReapproaches => ByHand ? ReapproachesByHand : 1;

    /// <summary>Number of points in the series, the changes of a switch included.</summary>
    public int PointCount => Steps.Count(s => s.Kind is StepKind.Point or StepKind.Ramp);

    /// <summary>The highest set point of the run.</summary>
    public Pressure Highest => Steps.Max(s => s.Target);

    /// <summary>The lowest set point of the run.</summary>
    public Pressure Lowest => Steps.Min(s => s.Target);

    /// <summary>Lays a procedure out for a device.</summary>
    /// <param name="procedure">What to do, in shares of span.</param>
    /// <param name="device">What it is done to.</param>
    /// <param name="atmosphere">What the device's gauge values count from.</param>
    /// <param name="bench">Where; null for a bench whose pressure an instrument makes.</param>
    public static RunPlan For(Procedure procedure, DeviceDefinition device, Pressure atmosphere, BenchDefinition? bench = null) => For(procedure, device, [], atmosphere, bench);

    /// <summary>Lays a procedure out for a device and those beside it on the manifold: points for all, then a ramp for each switch.</summary>
    /// <param name="procedure">What to do, in shares of the leading device's span.</param>
    /// <param name="device">The leading device.</param>
    /// <param name="beside">The other devices.</param>
    /// <param name="atmosphere">What gauge values count from.</param>
    /// <param name="bench">Where; null for a bench whose pressure an instrument makes.</param>
    public static RunPlan For(Procedure procedure, DeviceDefinition device, IReadOnlyList<DeviceDefinition> beside, Pressure atmosphere, BenchDefinition? bench = null)
    {
        ArgumentNullException.ThrowIfNull(procedure);
        ArgumentNullException.ThrowIfNull(device);
        ArgumentNullException.ThrowIfNull(beside);
        var steps = new List<PlannedStep>();
        if (procedure.Confirmation is not null)
            steps.Add(new PlannedStep(StepKind.Confirm, atmosphere, ByVent: true) { Request = procedure.Confirmation });
        if (procedure.ReadZero)
            steps.Add(new PlannedStep(StepKind.Zero, atmosphere, ByVent: true));
        if (Probe() is { } probe)
            steps.Add(probe);
        AddPreloads(procedure.Preloads);

        if (procedure.LeakTest is { } leak)
            steps.Add(At(StepKind.LeakTest, leak.PressureOfSpan));
        foreach (ProcedureCycle cycle in procedure.Series.Where(_ => device.Output != DeviceOutput.Contact))
            AddCycle(cycle);
        steps.AddRange(SwitchRamps.For(procedure, [device, .. beside], atmosphere));
        if (procedure.ReadZero)
            steps.Add(new PlannedStep(StepKind.Zero, atmosphere, ByVent: true));
        return new RunPlan(
            steps, procedure, device, atmosphere, bench,
            [.. beside.Select(other => new RunPlan(steps, SharedSeries.Seen(procedure, device, other, atmosphere), other, atmosphere, bench, []) { IsAlone = false })])
        {
            IsAlone = beside.Count == 0,
        };

        // Of the part of the range above the atmosphere: a compound range is probed on the side that can burst.
        // With several devices the smallest range decides.
        PlannedStep? Probe()
        {
            PressureDifference above = beside.Prepend(device).Select(one => TargetOf(one, atmosphere, 1) - atmosphere).MinBy(distance => distance.MilliPascals);
            return above.MilliPascals > 0
                ? new PlannedStep(StepKind.Probe, atmosphere + PressureDifference.FromPascals(above.Pascals * ProbeOfRange), ByVent: false)
                : null;
        }

        void AddPreloads(int count)
        {
            for (int i = 0; i < count; i++)
            {
                steps.Add(At(StepKind.Preload, 1));
                steps.Add(At(StepKind.Preload, 0) with { Direction = SeriesDirection.Descending });
            }
        }

        void AddCycle(ProcedureCycle cycle)
        {
            IReadOnlyList<double> points = cycle.PointsOfSpan;
            if (cycle.Remounted)
            {
                steps.Add(new PlannedStep(StepKind.Confirm, atmosphere, ByVent: true) { Request = RemountRequest });
                AddPreloads(procedure.RemountPreloads);
            }

            for (int i = 0; i < points.Count; i++)
                steps.Add(At(StepKind.Point, points[i]) with { Cycle = cycle.Number, Turning = i == 0 });
            for (int i = points.Count - 1; i >= 0 && cycle.Descending; i--)
            {
                bool turning = i == points.Count - 1;
                steps.Add(At(StepKind.Point, points[i]) with { Cycle = cycle.Number, Direction = SeriesDirection.Descending, Turning = turning });
            }
        }

        PlannedStep At(StepKind kind, double share)
        {
            Pressure target = TargetOf(device, atmosphere, share);
            return new PlannedStep(kind, target, ByVent: target == atmosphere);
        }
    }

    /// <summary>The absolute set point at a share of the device's span.</summary>
    public static Pressure TargetOf(DeviceDefinition device, Pressure atmosphere, double shareOfSpan)
    {
        Pressure own = Pressure.FromPascals(device.FromPascals + (shareOfSpan * device.SpanPascals));
        return device.Reference == PressureReference.Gauge ? own + (atmosphere - Pressure.Vacuum) : own;
    }

    /// <summary>An absolute pressure in pascals of the device's own reference.</summary>
    public double InDeviceReference(Pressure absolute) =>
        Device.Reference == PressureReference.Gauge ? (absolute - Atmosphere).Pascals : absolute.Pascals;

    /// <summary>Permissible error of the device at a step's target, Pa: of a graded device, that of the part of the scale it lies in.</summary>
    public double LimitPascals(PlannedStep step)
    {
        ArgumentNullException.ThrowIfNull(step);
        return Device.LimitOfSpanAt((InDeviceReference(step.Target) - Device.FromPascals) / Device.SpanPascals) * Device.SpanPascals;
    }

    /// <summary>Least time at a point between reaching and reading it: longer where a series turns at the top.</summary>
    public long DwellMicros(PlannedStep step)
    {
        ArgumentNullException.ThrowIfNull(step);
        bool top = step is { Kind: StepKind.Point, Turning: true, Direction: SeriesDirection.Descending };
        return top ? Math.Max(Procedure.Settle.MinimumDwellMicros, Procedure.TopHoldMicros) : Procedure.Settle.MinimumDwellMicros;
    }

    /// <summary>A rough duration of one step, for the time left: travel at the asked rate, waiting and reading.</summary>
    public long ExpectedMicros(PlannedStep step, Pressure from)
    {
        double rate = Math.Max(Procedure.RateOfSpanPerSecond * Device.SpanPascals, 1);
        long travel = (long)((step.Target - from).Magnitude().Pascals / rate * 1e6);
        long reading = Procedure.Samples * Procedure.SampleIntervalMicros;
        long settling = Math.Max(Procedure.Settle.MinimumDwellMicros, Procedure.Settle.WindowMicros);
        return step.Kind switch
        {
            StepKind.Confirm => 0,
            StepKind.Zero => settling + reading,
            StepKind.Probe => travel + Procedure.Settle.WindowMicros,
            StepKind.Preload => travel + Procedure.PreloadHoldMicros,
            StepKind.LeakTest => travel + (Procedure.LeakTest?.SettleMicros ?? 0) + (Procedure.LeakTest?.HoldMicros ?? 0),
            StepKind.Point => travel + Math.Max(settling, DwellMicros(step)) + reading,
            StepKind.Ramp => (long)((step.Target - from).Magnitude().Pascals / Math.Max(step.RatePascalsPerSecond, 1) * 1e6),
            _ => throw new InvalidOperationException($"step kind {step.Kind} has no duration"),
        };
    }
}
