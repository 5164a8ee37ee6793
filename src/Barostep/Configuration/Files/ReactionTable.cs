using Barostep.Configuration.Quantities;
using Barostep.Configuration.Toml;

namespace Barostep.Configuration.Files;

/// <summary>Reads the <c>[reaction]</c> of a bench.</summary>
internal static class ReactionTable
{
    public static ReactionTimes Read(TableReader table)
    {
        ReactionTimes otherwise = ReactionTimes.Default;
        ReactionTimes times = new()
        {
            ConversionAge = Seconds("conversion_age", otherwise.ConversionAge),
            SensorLag = Seconds("sensor_lag", otherwise.SensorLag),
            TubingLag = Seconds("tubing_lag", otherwise.TubingLag),
            Turnaround = Seconds("turnaround", otherwise.Turnaround),
            AdapterLatency = Seconds("adapter_latency", otherwise.AdapterLatency),
            ValveDead = Seconds("valve_dead", otherwise.ValveDead),
            ValveClose = Seconds("valve_close", otherwise.ValveClose),
        };
        table.Close();
        return times;

        double Seconds(string key, double standard) =>
            table.QuantityIfAny(key, QuantityKind.Time, "0 ms", "10 s") is { } micros ? (double)(micros / 1_000_000m) : standard;
    }
}
