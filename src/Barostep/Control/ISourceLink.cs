using Barostep.Safety;

namespace Barostep.Control;

/// <summary>The guard half's hold on the pressure source, whichever kind it is.</summary>
/// <remarks>
/// In each cycle: <see cref="Collect"/>, then the kernel decides, then <see cref="Consider"/>, and then <see cref="Act"/>, or
/// only <see cref="Renew"/> where what would raise pressure is not on the disk yet.
/// </remarks>
internal interface ISourceLink
{
    /// <summary>What the source's own sensor tells.</summary>
    SensorReading Sensor { get; }

    /// <summary>What else is known of the source.</summary>
    SourceReport Report { get; }

    /// <summary>Tells the source its own upper limit, where it has one.</summary>
    void LimitTo(Pressure? upperLimit);

    /// <summary>Starts the questions that are asked all the time.</summary>
    void BeginPolling();

    /// <summary>Takes everything that the line has reported since the last cycle.</summary>
    void Collect(long nowMicros);

    /// <summary>Works out what would be sent for a decision; sends nothing.</summary>
    void Consider(in Decision decision, in SensorReading reference, long nowMicros);

    /// <summary>Whether acting on the decision would send what can raise pressure.</summary>
    bool WouldRaise(in Decision decision);

    /// <summary>Tells the line that its owner lives; a line that is not told vents by itself.</summary>
    void Renew(in Decision decision, long nowMicros, long leaseMicros);

    /// <summary>Does what was decided, and says nothing twice without need.</summary>
    void Act(in Decision decision, long nowMicros, long leaseMicros);
}
