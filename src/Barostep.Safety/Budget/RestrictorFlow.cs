namespace Barostep.Safety;

/// <summary>Flow of gas through a restriction by ISO 6358-1, and the two balances that the budget needs from it.</summary>
public static class RestrictorFlow
{
    /// <summary>Discharge coefficient by which a conductance is shown as the bore of an orifice; trade practice.</summary>
    public const double OrificeDischarge = 0.8;

    private const int SimpsonIntervals = 400;

    /// <summary>Share of the choked flow at a ratio of downstream to upstream pressure: 1 up to b, 0 at 1 and above.</summary>
    public static double Fraction(double pressureRatio, double criticalRatio)
    {
        if (pressureRatio <= criticalRatio)
            return 1;
        if (pressureRatio >= 1)
            return 0;
        double beyond = (pressureRatio - criticalRatio) / (1 - criticalRatio);
        return Math.Sqrt(1 - (beyond * beyond));
    }

    /// <summary>Steady pressure, Pa absolute, between an inlet from <paramref name="supply"/> and an outlet to <paramref name="atmosphere"/>.</summary>
    /// <remarks>C_in·p_s·φ(p/p_s) = C_out·p·φ(p_a/p); the left side falls and the right side rises with p, so one p fits.</remarks>
    public static double Equilibrium(
        double inletConductance, double inletCriticalRatio, double supply,
        double outletConductance, double outletCriticalRatio, double atmosphere)
    {
        if (supply <= atmosphere)
            return atmosphere;
        double low = atmosphere;
        double high = supply;
        while (high - low > 0.01)
        {
            double middle = (low + high) / 2;
            double inflow = inletConductance * supply * Fraction(middle / supply, inletCriticalRatio);
            double outflow = outletConductance * middle * Fraction(atmosphere / middle, outletCriticalRatio);
            if (inflow > outflow)
                low = middle;
            else
                high = middle;
        }

        return high;
    }

    /// <summary>Time from one pressure to a lower one through an outlet at constant temperature, in time constants.</summary>
    /// <remarks>dp/dt = −(p/τ)·φ(p_a/p). With r = p_a/p this is dr/(r·φ(r)): a logarithm while choked, Simpson's rule beyond.</remarks>
    public static double VentTimeConstants(double from, double to, double atmosphere, double criticalRatio)
    {
        if (from <= to)
            return 0;
        double start = atmosphere / from;
        double end = atmosphere / to;
        double chokedEnd = Math.Clamp(criticalRatio, start, end);
        return Math.Log(chokedEnd / start) + Simpson(chokedEnd, end, criticalRatio);
    }

    /// <summary>Bore in metres of the orifice that has this conductance.</summary>
    public static double OrificeBore(double conductance)
    {
        double speed = Math.Sqrt(FillGas.AirGasConstant * FillGas.ReferenceTemperatureKelvin);
        double area = conductance * FillGas.ReferenceDensity * speed / (OrificeDischarge * FillGas.CriticalFlow(FillGas.AirHeatRatio));
        return Math.Sqrt(4 * area / Math.PI);
    }

    private static double Simpson(double from, double to, double criticalRatio)
    {
        double step = (to - from) / SimpsonIntervals;
        double sum = 0;
        for (int i = 0; i <= SimpsonIntervals; i++)
        {
            double ratio = from + (i * step);
            double weight = i is 0 or SimpsonIntervals ? 1 : i % 2 == 1 ? 4 : 2;
            sum += weight / (ratio * Fraction(ratio, criticalRatio));
        }

        return sum * step / 3;
    }
}
