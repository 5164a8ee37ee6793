using Barostep.Configuration.Quantities;
using Barostep.Configuration.Toml;
using Barostep.Evaluation.Corrections;

namespace Barostep.Configuration.Files;

/// <summary>Reads what stands between the readings of a bench and the pressure at the device.</summary>
internal static class ArrangementTables
{
    // What normal gravity leaves out, to either side (gravity anomalies, trade practice).
    private const double AnomalyHalfWidth = 1e-3;

    public static HeadColumn? Head(TableReader table, string gas)
    {
        decimal? height = table.Quantity("reference_above_device", QuantityKind.Length, "-100 m", "100 m");
        decimal? uncertainty = table.Quantity("height_uncertainty", QuantityKind.Length, "0 m", "1 m");
        decimal? measured = table.QuantityIfAny("gravity", QuantityKind.Acceleration, "9.7 m/s2", "9.9 m/s2");
        decimal ofMeasured = table.QuantityOr("gravity_uncertainty", QuantityKind.Acceleration, "0 m/s2", "0.01 m/s2", 0m);
        decimal? latitude = table.QuantityIfAny("latitude", QuantityKind.Angle, "-90 deg", "90 deg");
        decimal site = table.QuantityOr("height_above_sea", QuantityKind.Length, "-500 m", "6000 m", 0m);
        table.Close();
        if (measured is not null && latitude is not null)
            table.File.Report(table.At("latitude"), "head.latitude beside head.gravity", "gravity is stated, or computed from the latitude", "delete one of the two");
        if (measured is null && latitude is null)
            table.File.ReportMissing(table.Where, table.PathOf("latitude"), "latitude = \"53.5 deg\", or gravity = \"9.8137 m/s2\" where it was measured");
        if (measured is null && table.Has("gravity_uncertainty"))
            table.File.Report(table.At("gravity_uncertainty"), "head.gravity_uncertainty without head.gravity", "computed gravity has an uncertainty of its own", "delete it");
        if (height is null || uncertainty is null)
            return null;
        if (measured is { } stated)
            return new HeadColumn(gas, (double)height, (double)uncertainty, (double)stated, (double)ofMeasured, "stated");
        double computed = latitude is { } degrees ? LocalGravity.Welmec((double)degrees, (double)site) : LocalGravity.Standard;
        string source = FormattableString.Invariant($"WELMEC 2 at {latitude} deg, {site} m");
        return new HeadColumn(gas, (double)height, (double)uncertainty, computed, AnomalyHalfWidth / Math.Sqrt(3), source);
    }

    /// <summary>What is known of the barometer; what reads it stands in the same table, so that is not closed here.</summary>
    public static BenchBarometer? Barometer(TableReader table)
    {
        string? identity = table.Text("identity", "barometer B-2, certificate K-2026-0711");
        decimal? uncertainty = table.Quantity("standard_uncertainty", QuantityKind.PressureDifference, "0.01 Pa", "20 hPa");
        decimal above = table.QuantityOr("above_device", QuantityKind.Length, "-100 m", "100 m", 0m);
        return identity is null || uncertainty is null ? null : new BenchBarometer(identity, (double)uncertainty, (double)above);
    }

    public static BenchShunt? Shunt(TableReader table)
    {
        string? identity = table.Text("identity", "shunt R-3, certificate E-2026-0412");
        decimal? ohms = table.Quantity("resistance", QuantityKind.Resistance, "0.1 ohm", "10 kohm");
        decimal? uncertainty = table.Quantity("standard_uncertainty", QuantityKind.Resistance, "0 ohm", "100 ohm");
        decimal perKelvin = table.QuantityOr("temperature_coefficient", QuantityKind.PerKelvin, "-1000 ppm/K", "1000 ppm/K", 0m);
        table.Close();
        return identity is null || ohms is null || uncertainty is null
            ? null
            : new BenchShunt(identity, (double)ohms, (double)uncertainty, (double)perKelvin);
    }

    /// <summary>A room that is kept at these; "21.5 degC, 43 %RH, 1009 hPa".</summary>
    public static RoomClimate? Room(TableReader table)
    {
        string? air = table.Text("air", AmbientText.Example);
        table.Close();
        if (air is null)
            return null;
        QuantityFault? fault = AmbientText.Read(air, out RoomClimate climate);
        if (fault is null)
            return climate;
        table.File.Report(table.At("air"), $"{table.PathOf("air")} = \"{MessageText.OneLine(air)}\"", fault.Rule, fault.Instead);
        return null;
    }
}
