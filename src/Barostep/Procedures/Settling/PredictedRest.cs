namespace Barostep.Procedures.Settling;

/// <summary>When the rest of the error of indication is small enough to read: asked for beside the plain criterion.</summary>
/// <param name="ShareOfTolerance">What may remain, with its uncertainty, as a share of the device's tolerance.</param>
/// <param name="CoverageFactor">Multiple of the standard uncertainty that is added.</param>
public sealed record PredictedRest(double ShareOfTolerance, double CoverageFactor = 3);
