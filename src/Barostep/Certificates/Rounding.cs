using Barostep.Configuration;
using Barostep.Evaluation;
using Barostep.Evaluation.Uncertainty;

namespace Barostep.Certificates;

/// <summary>The rounding rule of a certificate, applied once, so that no two formats can differ in a digit.</summary>
/// <remarks>
/// U to two significant digits and the figures of its point to the same place (GUM 7.2.6); without U, as many decimals
/// as show the limit with three digits. The error is the mean of the unrounded ones, so it can differ in its last digit
/// from the difference of the figures beside it. A figure of more digits than a decimal holds, as an overloaded
/// multimeter can tell, is not shown; the unrounded value is kept.
/// </remarks>
internal static class Rounding
{
    // A coverage factor of Student's t, as 2.05, is told apart from 2 by its second decimal.
    private const int CoverageFactorDecimals = 2;

    private const double LargestShown = 1e15;

    public static ShownFigures Of(DeviceDefinition device, PointResult point, StatedUncertainty? uncertainty)
    {
        double unit = device.Unit.PascalsAsDouble;
        double limit = point.LimitOfSpan * device.SpanPascals / unit;
        StatedResult? stated = uncertainty is null ? null : StatedResult.Of(0, uncertainty.ExpandedPascals / unit);
        int decimals = stated?.Decimals ?? ResultFormat.DecimalsFor(limit);
        PointValues? values = point.Values;
        return new ShownFigures(
            Figure(point.NominalPascals / unit, Math.Max(0, ResultFormat.DecimalsFor(limit) - 1)),
            Figure(values?.ReferencePascals / unit, decimals),
            Figure(values?.Output * OutputScale(device.Output), OutputDecimals(device, decimals)),
            Figure(values?.IndicationPascals / unit, decimals),
            Figure(values?.ErrorPascals / unit, decimals),
            Figure(values?.ErrorOfSpan * 100, ShareDecimals(device, uncertainty)),
            stated is null ? null : WithDecimals(stated.Uncertainty, stated.Decimals),
            uncertainty is null ? null : Figure(uncertainty.CoverageFactor, CoverageFactorDecimals),
            Figure(limit, ResultFormat.DecimalsFor(limit)),
            point.Decision is { GuardBand: not 0, Acceptance: { IsEmpty: false, Upper: { } accepted } } ? Figure(accepted / unit, decimals) : null);
    }

    public static string? OutputUnit(DeviceOutput output) => output switch
    {
        DeviceOutput.Current => "mA",
        DeviceOutput.Voltage => "V",
        DeviceOutput.Digital or DeviceOutput.Dial or DeviceOutput.Contact => null,
        _ => throw new ArgumentOutOfRangeException(nameof(output), output, "unknown output"),
    };

    private static double OutputScale(DeviceOutput output) => output == DeviceOutput.Current ? 1000 : 1;

    // The output resolves the same share of its range as the pressure does of the span.
    private static int OutputDecimals(DeviceDefinition device, int pressureDecimals)
    {
        double spanInUnit = device.SpanPascals / device.Unit.PascalsAsDouble;
        double outputSpan = Math.Abs(device.OutputTo - device.OutputFrom) * OutputScale(device.Output);
        return outputSpan == 0 ? 0 : ResultFormat.DecimalsFor(100 * Math.Pow(10, -pressureDecimals) * outputSpan / spanInUnit);
    }

    private static int ShareDecimals(DeviceDefinition device, StatedUncertainty? uncertainty) => uncertainty is null
        ? ResultFormat.DecimalsFor(device.ToleranceOfSpan * 100)
        : Math.Max(0, StatedResult.Of(0, uncertainty.ExpandedPascals / device.SpanPascals * 100).Decimals);

    private static decimal? Figure(double? value, int decimals) =>
        value is { } number && Math.Abs(number) < LargestShown ? Figure(number, decimals) : null;

    private static decimal Figure(double value, int decimals)
    {
        decimal exact = (decimal)value;
        if (decimals >= 0)
            return WithDecimals(decimal.Round(exact, decimals, MidpointRounding.AwayFromZero), decimals);
        decimal place = 1;
        for (int i = decimals; i < 0; i++)
            place *= 10;
        return decimal.Round(exact / place, MidpointRounding.AwayFromZero) * place;
    }

    // Adding a zero of that scale keeps the trailing zeros, which say how far the figure is known. A negative zero goes.
    private static decimal WithDecimals(decimal value, int decimals) =>
        (value == 0 ? 0m : value) + new decimal(0, 0, 0, false, (byte)Math.Clamp(decimals, 0, 28));
}
