namespace Barostep.Safety;

/// <summary>What a person asked of the guard.</summary>
public enum PersonRequestKind : byte
{
    None,

    /// <summary>Vent at the allowed rate and end the run. Always accepted.</summary>
    Stop,

    /// <summary>Vent as fast as the bench can. Always accepted.</summary>
    Dump,

    /// <summary>Acknowledge the trip that <see cref="PersonRequest.TripNumber"/> names.</summary>
    Acknowledge,

    /// <summary>Lower the ceiling, at once, at any time.</summary>
    LowerCeiling,

    /// <summary>Raise a lowered ceiling again, never above what the bench and device permit; only in the role safety, while safe and nothing is latched.</summary>
    RaiseCeiling,
}

/// <summary>What a person may do beyond what anybody may. Whose role it is, the edge decides; the kernel is told.</summary>
public enum PersonRole : byte
{
    /// <summary>Runs the bench: acknowledges trips, lowers ceilings.</summary>
    Operator,

    /// <summary>Answers for the bench: raises a lowered ceiling, and acknowledges a fourth trip within an hour.</summary>
    Safety,
}

/// <summary>One request of a person, shown to the kernel in exactly one cycle.</summary>
/// <param name="Kind">What is asked.</param>
/// <param name="TripNumber">The trip that is acknowledged; ignored otherwise.</param>
/// <param name="Ceiling">The ceiling asked for, absolute; ignored otherwise.</param>
/// <param name="PersonNumber">Who asked, as a number into the list that the daemon journals.</param>
/// <param name="Role">In which role.</param>
public readonly record struct PersonRequest(
    PersonRequestKind Kind, uint TripNumber, Pressure Ceiling, uint PersonNumber, PersonRole Role = PersonRole.Operator)
{
    public static readonly PersonRequest None;

    public static readonly PersonRequest Stop = new(PersonRequestKind.Stop, 0, Pressure.Vacuum, 0);

    public static readonly PersonRequest Dump = new(PersonRequestKind.Dump, 0, Pressure.Vacuum, 0);

    public static PersonRequest Acknowledge(uint tripNumber, uint personNumber = 0, PersonRole role = PersonRole.Operator) =>
        new(PersonRequestKind.Acknowledge, tripNumber, Pressure.Vacuum, personNumber, role);

    public static PersonRequest LowerCeiling(Pressure ceiling, uint personNumber = 0) =>
        new(PersonRequestKind.LowerCeiling, 0, ceiling, personNumber);

    public static PersonRequest RaiseCeiling(Pressure ceiling, uint personNumber = 0, PersonRole role = PersonRole.Safety) =>
        new(PersonRequestKind.RaiseCeiling, 0, ceiling, personNumber, role);
}
