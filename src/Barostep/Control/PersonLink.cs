using Barostep.Safety;

namespace Barostep.Control;

/// <summary>The guard half's hold on a person with a hand pump: none but words, which the run's prompts say.</summary>
/// <remarks>
/// A permission to pump is a decision like any other, and is on the disk before a person is told of it. Nothing here can
/// shut a pump or open a valve: a vent is an instruction, and the dump valve's relay, where one is fitted, the only deed.
/// </remarks>
internal sealed class PersonLink : ISourceLink
{
    private Pressure? _permitted;

    public SensorReading Sensor => SensorReading.NotFitted;

    public SourceReport Report => new() { LineUp = true };

    public void LimitTo(Pressure? upperLimit)
    {
        // A person has no limit that could be set; the ceiling is watched on the reference.
    }

    public void BeginPolling()
    {
        // A person is asked by the run's prompts.
    }

    public void Collect(long nowMicros)
    {
        // What a person does shows on the reference.
    }

    public void Consider(in Decision decision, in SensorReading reference, long nowMicros)
    {
        // The decision alone says what a person may do.
    }

    public bool WouldRaise(in Decision decision) => decision.Action == SafetyAction.Control && _permitted != decision.SetPoint;

    public void Renew(in Decision decision, long nowMicros, long leaseMicros)
    {
        // No line holds pressure that could let go of it.
    }

    public void Act(in Decision decision, long nowMicros, long leaseMicros) =>
        _permitted = decision.Action == SafetyAction.Control ? decision.SetPoint : null;
}
