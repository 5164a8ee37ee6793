using System.Globalization;
using Barostep.Configuration;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Procedures.Prompts;

/// <summary>Puts into words what a person is asked.</summary>
internal sealed class PromptText(RunPlan plan)
{
    private DeviceDefinition Device => plan.Device;

    /// <summary>The sentence for one prompt.</summary>
    /// <param name="kind">What is asked.</param>
    /// <param name="target">The pressure that it is about.</param>
    /// <param name="direction">Side of the approach.</param>
    /// <param name="stays">The series turns here: the pressure is there already.</param>
    /// <param name="request">What the procedure wants confirmed; null otherwise.</param>
    /// <param name="urgent">The guard does not let the pressure stand.</param>
    public string Of(PromptKind kind, Pressure target, SeriesDirection direction, bool stays, string? request, bool urgent)
    {
        bool rising = direction == SeriesDirection.Ascending;
        string at = Shown(target);
        return kind switch
        {
            PromptKind.Confirm => request ?? string.Empty,
            PromptKind.BringTo when stays => $"Stay at {at}, hands off: the way down begins here.",
            PromptKind.BringTo when rising => $"Pump up to {at}, the last of it with the fine screw and never past it; then hands off until it is still.",
            PromptKind.BringTo => $"Let the pressure down to {at} slowly and never past it; then hands off until it is still.",
            PromptKind.BringBack when rising => $"The point was passed. Go back below it, to {at}, and come up again.",
            PromptKind.BringBack => $"The point was passed. Go back above it, to {at}, and come down again.",
            PromptKind.HandsOff => $"Hands off the pump: at {at} the bench is being tested for leaks.",
            PromptKind.Release when urgent => "STOP PUMPING. OPEN THE RELEASE VALVE NOW, and look at a gauge.",
            PromptKind.Release => "Open the release valve, and leave it open until the reference tells zero.",
            PromptKind.ReadPointer => $"Where does the pointer stand? Eye square to the dial, do not tap; in {Device.Unit}, to {Step()} {Device.Unit}.",
            PromptKind.ReadPointerTapped => $"Tap the gauge lightly. Where does the pointer stand now? In {Device.Unit}, to {Step()} {Device.Unit}.",
            PromptKind.SetOnMark => $"Bring the pointer to the mark {at} {From(rising)}, without tapping, and confirm.",
            PromptKind.SetOnMarkTapped => $"Tap the gauge lightly, bring the pointer to the mark {at} again, and confirm.",
            _ => throw new ArgumentOutOfRangeException(nameof(kind), kind, "unknown prompt"),
        };
    }

    private static string From(bool rising) => rising ? "from below" : "from above";

    private string Step() =>
        ((Device.Dial?.ReadablePascals ?? 0) / Device.Unit.Pascals).ToString("0.######", CultureInfo.InvariantCulture);

    private string Shown(Pressure target) => string.Create(
        CultureInfo.InvariantCulture, $"{plan.InDeviceReference(target) / Device.Unit.PascalsAsDouble:0.####} {Device.Unit}");
}
