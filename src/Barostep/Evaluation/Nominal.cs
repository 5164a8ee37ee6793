using Barostep.Configuration;

namespace Barostep.Evaluation;

/// <summary>Tells whether two nominal pressures are the same point of a procedure, although they were computed differently.</summary>
internal static class Nominal
{
    // No two points of a procedure lie closer than this, and no rounding is larger.
    private const double StepsPerSpan = 1e9;

    /// <summary>Equal for nominals that are the same to within 1e-9 of span.</summary>
    public static long Key(DeviceDefinition device, double pascals) => KeyOfShare((pascals - device.FromPascals) / device.SpanPascals);

    public static double ShareOfKey(long key) => key / StepsPerSpan;

    public static long KeyOfShare(double share) => (long)Math.Round(share * StepsPerSpan);
}
