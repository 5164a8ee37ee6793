namespace Barostep.Certificates;

/// <summary>Whose place a calibration was done at.</summary>
public enum PlaceKind
{
    Laboratory,
    LaboratoryBranch,
    Customer,
    CustomerBranch,
    Other,
}

/// <summary>Where the work was done.</summary>
/// <param name="Name">In words: the room, or the address where it is elsewhere than the laboratory.</param>
public sealed record PlaceOfWork(PlaceKind Kind, string Name);
