using Barostep.Configuration;
using Barostep.Control;
using Barostep.Daemon.Commands;
using Barostep.Daemon.Live;
using Barostep.Procedures;
using Barostep.Safety;

namespace Barostep.Daemon.Api;

/// <summary>One limit that the ceiling is the lowest of.</summary>
/// <param name="Origin">File, line and column.</param>
internal sealed record LimitView(string Source, double CeilingPascals, string Origin);

/// <summary>What a run would do.</summary>
/// <param name="CeilingPascals">The ceiling that would hold.</param>
/// <param name="Limits">All that bound it, the tightest first.</param>
/// <param name="NominalPascals">Ascending points, in the device's own reference.</param>
/// <param name="Seconds">How long it would take by its plan.</param>
/// <param name="Confirmation">What a person will be asked before anything moves; null where nobody is.</param>
/// <param name="Refusals">Why it would be refused; empty where it would not.</param>
internal sealed record PlanView(
    DisplayView Display,
    DeviceView Device,
    double CeilingPascals,
    IReadOnlyList<LimitView> Limits,
    IReadOnlyList<double> NominalPascals,
    int PointCount,
    double Seconds,
    string? Confirmation,
    IReadOnlyList<string> Refusals)
{
    public static PlanView Of(ApiContext context, BenchBoard board, string device, string procedure)
    {
        WorkshopConfiguration workshop = context.Means.Workshop;
        DeviceDefinition ofDevice = context.Device(device);
        Procedure by = context.Procedure(procedure);
        SafetyLimits limits = BenchSafety.LimitsFor(board.Bench, ofDevice, workshop.Origins);
        RunPlan plan = RunPlan.For(by, ofDevice, limits.Atmosphere, board.Bench);
        var sequencer = new Sequencer(plan, 0);
        return new PlanView(
            DisplayView.Of(board.Bench, ofDevice),
            DeviceView.Of(ofDevice),
            limits.EffectiveCeiling.Pascals,
            [.. limits.Contributions.Where(limit => limit.Ceiling is not null).OrderBy(limit => limit.Ceiling!.Value)
                .Select(limit => new LimitView(limit.Source, limit.Ceiling!.Value.Pascals, limit.Origin))],
            [.. by.PointsOfSpan.Select(share => ofDevice.FromPascals + (share * ofDevice.SpanPascals))],
            plan.PointCount,
            sequencer.TimeLeftMicros(sequencer.Begin(0), 0) / 1e6,
            by.Confirmation,
            RefusalsOf(context, board, device, procedure));
    }

    private static string[] RefusalsOf(ApiContext context, BenchBoard board, string device, string procedure)
    {
        try
        {
            SweepCommands.Prepare(context.Means.Workshop, board.Bench.Name, device, procedure, "plan", context.Means.Simulated, allowance: null);
            return [];
        }
        catch (RefusedException refused)
        {
            return refused.Message.Split('\n');
        }
    }
}

/// <summary>A procedure, as a list shows it.</summary>
internal sealed record ProcedureView(string Name, string Title, int Points, bool Descending, int Cycles);

/// <summary>Devices and procedures of the configuration.</summary>
/// <param name="Readable">By bench, the names of the devices that it has an instrument for.</param>
internal sealed record WorkshopView(
    IReadOnlyList<DeviceView> Devices, IReadOnlyList<ProcedureView> Procedures, IReadOnlyDictionary<string, IReadOnlyList<string>> Readable)
{
    public static WorkshopView Of(ApiContext context)
    {
        WorkshopConfiguration workshop = context.Means.Workshop;
        // What needs a procedure of its own, or a person who stays to read it, is offered last.
        DeviceDefinition[] devices =
        [
            .. workshop.Devices.Values.OrderBy(device => device.Output is DeviceOutput.Dial or DeviceOutput.Contact).ThenBy(device => device.Name, StringComparer.Ordinal),
        ];
        return new WorkshopView(
            [.. devices.Select(DeviceView.Of)],
            ProceduresOf(workshop),
            context.Boards.Values.ToDictionary(
                board => board.Bench.Name,
                board => (IReadOnlyList<string>)[.. devices.Where(device => CanRead(board.Bench, device)).Select(device => device.Name)]));
    }

    private static bool CanRead(BenchDefinition bench, DeviceDefinition device) =>
        device.Output == DeviceOutput.Dial || bench.InputOf(device) is not null;

    private static IReadOnlyList<ProcedureView> ProceduresOf(WorkshopConfiguration workshop) =>
        [.. workshop.Procedures.Values.OrderBy(procedure => procedure.Name, StringComparer.Ordinal)
            .Select(one => new ProcedureView(one.Name, one.Title, one.PointsOfSpan.Count, one.Descending, one.Cycles))];
}
