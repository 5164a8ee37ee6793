using System.Globalization;
using Barostep.Configuration.Quantities;
using Barostep.Configuration.Toml;
using Barostep.Safety;

namespace Barostep.Configuration.Files;

/// <summary>Reads what protects a bench: relief valve, pressure switch, keep-alive relay, and who must be there.</summary>
internal static class ProtectionTables
{
    private const decimal DefaultReliefTolerance = 0.10m;
    private const decimal DefaultSwitchTolerance = 0.02m;
    private const decimal DefaultSwitchReactionMicros = 200_000m;
    private const decimal DefaultTestIntervalMonths = 12m;
    private const decimal DefaultRelayMicros = 20_000m;

    private static readonly Dictionary<string, bool> KeepAliveKinds = new() { ["challenge"] = true, ["monostable"] = false };

    public static BenchProtection Read(TableReader bench)
    {
        BenchProtection fitted = ReadFitted(bench);
        if (bench.TableIfAny("attended") is not { } attended)
            return fitted;
        StatedPressure? mostPressure = attended.PressureIfAny("most_pressure", "1 bar gauge");
        decimal mostEnergy = attended.QuantityOr("most_energy", QuantityKind.Energy, "0.1 J", "10000 kJ", (decimal)fitted.AttendedMostJoules);
        attended.Close();
        return fitted with { AttendedMostPressure = mostPressure, AttendedMostJoules = (double)mostEnergy };
    }

    private static BenchProtection ReadFitted(TableReader bench) => new()
    {
        ReliefValve = bench.TableIfAny("relief_valve") is { } relief ? ReadRelief(relief) : null,
        PressureSwitch = bench.TableIfAny("pressure_switch") is { } contact ? ReadSwitch(contact) : null,
        KeepAlive = bench.TableIfAny("keep_alive") is { } relay ? ReadKeepAlive(relay) : null,
        UnattendedAllowed = bench.TableIfAny("unattended") is { } unattended && ReadUnattended(unattended),
    };

    private static FittedReliefValve? ReadRelief(TableReader table)
    {
        string? identity = table.Text("identity", "RV-1, serial number 4711");
        StatedPressure? set = table.Pressure("set_pressure", "18 bar gauge");
        decimal tolerance = table.QuantityOr("tolerance", QuantityKind.Share, "0 %", "30 %", DefaultReliefTolerance);
        decimal? conductance = table.Quantity("conductance", QuantityKind.Conductance, "0.0000001 dm3/(s.bar)", "1000 dm3/(s.bar)");
        DateOnly? lastTest = ReadDate(table, "last_test");
        decimal interval = table.QuantityOr("test_interval", QuantityKind.Interval, "1 months", "10 years", DefaultTestIntervalMonths);
        table.Close();
        return identity is not null && set is { } pressure && conductance is { } flow
            ? new FittedReliefValve(identity, pressure, (double)tolerance, (double)flow, lastTest, (int)interval)
            : null;
    }

    private static FittedPressureSwitch? ReadSwitch(TableReader table)
    {
        string? identity = table.Text("identity", "PS-1, serial number 4712");
        StatedPressure? set = table.Pressure("set_pressure", "17 bar gauge");
        decimal tolerance = table.QuantityOr("tolerance", QuantityKind.Share, "0 %", "30 %", DefaultSwitchTolerance);
        decimal reaction = table.QuantityOr("reaction", QuantityKind.Time, "1 ms", "10 s", DefaultSwitchReactionMicros);
        table.Close();
        return identity is not null && set is { } pressure
            ? new FittedPressureSwitch(identity, pressure, (double)tolerance, Seconds(reaction))
            : null;
    }

    private static FittedKeepAlive? ReadKeepAlive(TableReader table)
    {
        decimal? time = table.Quantity("time", QuantityKind.Time, "10 ms", "60 s");
        decimal relay = table.QuantityOr("relay", QuantityKind.Time, "0 ms", "10 s", DefaultRelayMicros);
        bool? challenges = table.Choice("kind", KeepAliveKinds);
        table.Close();
        return time is { } silence && challenges is { } asks ? new FittedKeepAlive(Seconds(silence), Seconds(relay), asks) : null;
    }

    private static bool ReadUnattended(TableReader table)
    {
        bool? allowed = table.Truth("allowed");
        table.Close();
        return allowed ?? false;
    }

    private static DateOnly? ReadDate(TableReader table, string key)
    {
        if (table.TextIfAny(key, "2026-03-02") is not { } text)
            return null;
        if (DateOnly.TryParseExact(text, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out DateOnly date))
            return date;
        table.File.Report(table.At(key), $"{table.PathOf(key)} = \"{MessageText.OneLine(text)}\"", "it is a day, as year-month-day", "write for example \"2026-03-02\"");
        return null;
    }

    private static double Seconds(decimal micros) => (double)(micros / 1_000_000m);
}
