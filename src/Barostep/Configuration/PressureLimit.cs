using Barostep.Safety;

namespace Barostep.Configuration;

/// <summary>One limit of the pressure on a bench, with who set it and where it is written.</summary>
/// <param name="Name">For people: <c>ceiling set by the user</c>, <c>rating of hose</c>, <c>range end of reference</c>.</param>
/// <param name="Stated">As it was written.</param>
/// <param name="Absolute">The same, absolute, counted from the bench's atmosphere where it is gauge.</param>
/// <param name="Origin">Where it is written.</param>
public sealed record PressureLimit(string Name, StatedPressure Stated, Pressure Absolute, SourcePosition Origin);
