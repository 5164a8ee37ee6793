namespace Barostep.Configuration;

/// <summary>How the scale of a dial gauge is divided, and how finely a person can read it.</summary>
/// <param name="DivisionPascals">From one line of the scale to the next, Pa.</param>
/// <param name="PartsOfDivision">Into how many parts a person divides that by eye: 1, 2, 4, 5 or 10.</param>
public sealed record DialScale(decimal DivisionPascals, int PartsOfDivision)
{
    /// <summary>The smallest step to which the pointer can be read, Pa.</summary>
    public decimal ReadablePascals => DivisionPascals / PartsOfDivision;
}
