using Barostep.Configuration;
using Barostep.Control;
using Barostep.Daemon.Live;
using Barostep.Evaluation;
using Barostep.Procedures;
using Barostep.Procedures.Prompts;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Daemon.Api;

/// <summary>A device under test.</summary>
/// <param name="FromPascals">Lower range end, in the device's own reference.</param>
internal sealed record DeviceView(
    string Name,
    string Title,
    string Manufacturer,
    string Model,
    string SerialNumber,
    string Tag,
    string Range,
    DeviceOutput Output,
    double FromPascals,
    double SpanPascals,
    double ToleranceOfSpan)
{
    public static DeviceView Of(DeviceDefinition device) => new(
        device.Name, device.Title, device.Manufacturer, device.Model, device.SerialNumber, device.Tag,
        $"{device.RangeFrom.Value} to {device.RangeTo}", device.Output, device.FromPascals, device.SpanPascals, device.ToleranceOfSpan);
}

/// <summary>What the device tells now.</summary>
/// <param name="Pascals">Absolute, by the device's ideal scale.</param>
/// <param name="Output">A, V, or Pa absolute.</param>
/// <param name="Unit">Of the output.</param>
internal sealed record IndicationView(double Pascals, double Output, string Unit, double AgeMs);

/// <summary>How a run ended.</summary>
internal sealed record EndingView(RunOutcome Outcome, string Reason, bool VentConfirmed);

/// <summary>What a person is asked.</summary>
/// <param name="Number">An answer names it.</param>
/// <param name="WantsAnswer">Whether words are waited for; otherwise the reference tells what was done.</param>
/// <param name="WantsReading">Whether the answer is the place of a pointer, in the unit.</param>
/// <param name="Urgent">Pressure stands where none should.</param>
/// <param name="TargetPascals">The pressure that it is about, absolute.</param>
/// <param name="SecondsLeft">Until the run ends without an answer; null where it waits as long as it takes.</param>
internal sealed record PromptView(
    int Number, PromptKind Kind, string Text, bool WantsAnswer, bool WantsReading, bool Urgent, string Unit, double TargetPascals, double? SecondsLeft)
{
    public static PromptView Of(Prompt prompt, DeviceDefinition device, long nowMicros) => new(
        prompt.Number, prompt.Kind, prompt.Text, prompt.WantsAnswer, prompt.WantsReading, prompt.IsUrgent, device.Unit.Symbol,
        prompt.Target.Pascals, prompt.UntilMicros is { } until ? Math.Max(0, until - nowMicros) / 1e6 : null);
}

/// <summary>A run of this daemon.</summary>
/// <param name="TargetPascals">What the source is asked for, absolute; null before the first cycle.</param>
/// <param name="BandPascals">Half width of the stability band.</param>
/// <param name="TimeLeftSeconds">From what the finished steps took; null before the first cycle.</param>
/// <param name="Prompt">What a person is asked; null where nobody is.</param>
/// <param name="Ended">Null while it goes on.</param>
internal sealed record RunView(
    string Id,
    DeviceView Device,
    string Procedure,
    string ProcedureTitle,
    string Who,
    bool Simulated,
    DateTimeOffset StartedUtc,
    RunPhase Phase,
    double? TargetPascals,
    double BandPascals,
    int Step,
    int Steps,
    int PointsRead,
    int PointCount,
    double? TimeLeftSeconds,
    IndicationView? Indication,
    bool StopAsked,
    PromptView? Prompt,
    EndingView? Ended)
{
    public static RunView Of(RunSight run, long nowMicros)
    {
        RunProgress progress = run.Progress;
        bool moved = progress.Steps > 0;
        return new RunView(
            run.Job.RunId,
            DeviceView.Of(run.Job.Device),
            run.Job.Procedure.Name,
            run.Job.Procedure.Title,
            run.Job.PerformedBy,
            run.Job.Simulated,
            run.StartedUtc,
            progress.Phase,
            moved ? progress.Target.Pascals : null,
            run.Job.Procedure.Settle.BandOfSpan * run.Job.Device.SpanPascals,
            progress.Step,
            progress.Steps,
            progress.PointsRead,
            progress.Points,
            moved ? progress.TimeLeftMicros / 1e6 : null,
            IndicationOf(run, nowMicros),
            run.StopAsked,
            run.Prompt is { } prompt ? PromptView.Of(prompt, run.Job.Device, nowMicros) : null,
            run.Ended is { } ended ? new EndingView(ended.Outcome, ended.Reason, ended.VentConfirmed) : null);
    }

    private static IndicationView? IndicationOf(RunSight run, long nowMicros) => BenchTrace.IndicationOf(run) is not { } told ? null : new IndicationView(
        told.Pascals,
        run.Indication.Value,
        run.Job.Device.Output switch
        {
            DeviceOutput.Current => "A",
            DeviceOutput.Voltage => "V",
            DeviceOutput.Digital or DeviceOutput.Dial => "Pa",
            DeviceOutput.Contact => run.Job.Device.Contact!.Reading == ContactReading.Resistance ? "ohm" : "V",
            _ => throw new InvalidOperationException($"unknown output {run.Job.Device.Output}"),
        },
        Math.Max(0, nowMicros - run.Indication.AskedMicros) / 1e3);
}
