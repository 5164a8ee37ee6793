using Barostep.Configuration.Quantities;
using Barostep.Configuration.Toml;
using Barostep.Evaluation.Devices;

namespace Barostep.Configuration.Files;

/// <summary>Reads the ideal relation between pressure and output from <c>[output]</c>.</summary>
internal static class TransferKeys
{
    private enum Kind
    {
        Linear,
        SquareRoot,
        Table,
    }

    private static readonly Dictionary<string, Kind> Kinds = new(StringComparer.Ordinal)
    {
        ["linear"] = Kind.Linear,
        ["square root"] = Kind.SquareRoot,
        ["table"] = Kind.Table,
    };

    public static SignalTransfer Read(TableReader output, DeviceOutput? kind)
    {
        Kind transfer = output.ChoiceIfAny("transfer", Kinds) ?? Kind.Linear;
        SignalTransfer.Table? table = output.TableIfAny("table") is { } points ? ReadTable(points) : null;
        if (kind is DeviceOutput.Digital or DeviceOutput.Dial && output.Has("transfer"))
            output.File.Report(output.At("transfer"), $"output.transfer beside kind = \"{kind.ToString()!.ToLowerInvariant()}\"", "such a device tells its pressure itself", "delete it");
        if (transfer == Kind.Table && !output.Has("table"))
            output.File.ReportMissing(output.At("transfer"), output.PathOf("table"), "[output.table] with pressure and signal");
        if (transfer != Kind.Table && output.Has("table"))
            output.File.ReportKeepingUsable(output.At("table"), "[output.table] without transfer = \"table\"", "it would not be used", "write transfer = \"table\", or delete it");
        return transfer switch
        {
            Kind.Linear => new SignalTransfer.Linear(),
            Kind.SquareRoot => new SignalTransfer.SquareRoot(),
            Kind.Table => table is null ? new SignalTransfer.Linear() : table,
            _ => throw new ArgumentOutOfRangeException(nameof(output), transfer, "unknown transfer"),
        };
    }

    private static SignalTransfer.Table? ReadTable(TableReader table)
    {
        IReadOnlyList<decimal>? pressure = table.Quantities("pressure", QuantityKind.Share, "0 %", "100 %");
        IReadOnlyList<decimal>? signal = table.Quantities("signal", QuantityKind.Share, "0 %", "100 %");
        table.Close();
        if (pressure is null || signal is null)
            return null;
        if (pressure.Count != signal.Count || pressure.Count < 2)
        {
            table.File.Report(table.At("signal"), $"output.table.signal has {signal.Count} values and output.table.pressure {pressure.Count}",
                "there are as many signals as pressures, two or more", "write both lists from 0 % to 100 %, in the same order");
            return null;
        }

        if (Falls(table, "pressure", pressure) || Falls(table, "signal", signal))
            return null;
        return new SignalTransfer.Table([.. pressure.Zip(signal, (p, s) => ((double)p, (double)s))]);
    }

    private static bool Falls(TableReader table, string key, IReadOnlyList<decimal> values)
    {
        for (int i = 1; i < values.Count; i++)
        {
            if (values[i] > values[i - 1])
                continue;
            table.File.Report(table.File.Origins.Of(table.File.File, $"output.table.{key}.{i}"), $"output.table.{key}.{i} is not above the one before it",
                "both columns rise", "sort them, and write each share once");
            return true;
        }

        return false;
    }
}
