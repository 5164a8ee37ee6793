using Barostep.Configuration.Quantities;
using Barostep.Configuration.Toml;
using Barostep.Instruments;

namespace Barostep.Configuration.Files;

/// <summary>Reads the table <c>[modbus]</c> of an instrument definition, and what its exchanges say of registers.</summary>
internal static class ModbusTable
{
    /// <summary>Longest frame of the serial line specification, bytes.</summary>
    private const int LongestFrame = 256;

    /// <summary>Registers that one message can read, and write (application protocol specification, 6.3 and 6.12).</summary>
    private const int MostRead = 125;

    private const int MostWritten = 123;

    private static readonly Dictionary<string, bool> Transports = new(StringComparer.Ordinal) { ["rtu"] = false, ["tcp"] = true };

    private static readonly Dictionary<string, ModbusFunction> Functions = new(StringComparer.Ordinal)
    {
        ["read holding"] = ModbusFunction.ReadHolding,
        ["read input"] = ModbusFunction.ReadInput,
        ["write one"] = ModbusFunction.WriteOne,
        ["write several"] = ModbusFunction.WriteSeveral,
    };

    /// <summary>What stands for the line of an instrument that is reached over a network.</summary>
    public static LineSettings NoLine { get; } = new(115_200, 8, LineParity.None, 1);

    /// <summary>Null where the instrument has no such table, or its values could not be read.</summary>
    public static ModbusSettings? Read(TableReader file, out Framing? framing)
    {
        framing = null;
        if (file.TableIfAny("modbus") is not { } table)
            return null;
        bool? overTcp = table.Choice("transport", Transports);
        long? address = table.Whole("address", overTcp == true ? 0 : 1, overTcp == true ? 255 : 247);
        decimal silence = table.QuantityOr("silence", QuantityKind.Time, "1 ms", "2 s", 50_000m);
        table.Close();
        file.Allow("framing");
        if (file.Has("framing"))
        {
            file.File.ReportKeepingUsable(file.At("framing"), "[framing] beside [modbus]",
                "the ends of Modbus messages are known by their length", "delete [framing]");
        }

        framing = new Framing([], LongestFrame, (long)silence);
        return overTcp is { } tcp && address is { } unit ? new ModbusSettings(tcp, (int)unit) : null;
    }

    /// <summary>What one exchange does with registers; null where that could not be read.</summary>
    public static RegisterAccess? ReadAccess(Capability capability, TableReader table, RequestTemplate? request, ReplyPattern? reply)
    {
        ModbusFunction? function = table.Choice("function", Functions);
        long? register = table.Whole("register", 0, ushort.MaxValue);
        if (function is not { } how || register is not { } first)
            return null;
        var access = new RegisterAccess(how, (int)first, 1);
        string key = access.Writes ? "request" : "reply";
        string other = access.Writes ? "reply" : "request";
        string named = Functions.First(pair => pair.Value == how).Key;
        if (access.Writes != CapabilityNames.IsCommand(capability))
        {
            table.File.Report(table.At("function"), $"{table.PathOf("function")} = \"{named}\"",
                $"{CapabilityNames.NameOf(capability)} {(access.Writes ? "changes nothing in the instrument" : "tells it to do something")}",
                access.Writes ? "write \"read holding\" or \"read input\"" : "write \"write one\" or \"write several\"");
            return null;
        }

        if (table.Has(other))
        {
            table.File.Report(table.At(other), $"{table.PathOf(other)} beside \"{named}\"",
                access.Writes ? "a write is confirmed by the protocol itself" : "a read sends nothing but the registers' numbers", "delete it");
            return null;
        }

        if (!table.Has(key))
        {
            table.File.ReportMissing(table.Where, table.PathOf(key), $"{key} = \"{{value:float32}}\"");
            return null;
        }

        int width = access.Writes ? request?.FixedLength ?? 0 : reply?.FixedWidth ?? 0;
        return width == 0 ? null : Sized(access with { Count = width / 2 }, width, key, table);
    }

    private static RegisterAccess? Sized(RegisterAccess access, int width, string key, TableReader table)
    {
        int most = access.Writes ? MostWritten : MostRead;
        string? rule = width < 0 || width % 2 != 0 ? "registers are whole and of two bytes each"
            : access.Count > most ? $"one message holds at most {most} registers"
            : access.Function == ModbusFunction.WriteOne && access.Count != 1 ? "\"write one\" writes one register"
            : access.Register + access.Count > ushort.MaxValue + 1 ? "the last register is 65535"
            : null;
        if (rule is null)
            return access;
        table.File.Report(table.At(key), $"{table.PathOf(key)} {(width < 0 ? "has no fixed length" : $"has {width} bytes from register {access.Register} on")}", rule,
            "write parts such as {value:float32}, {value:int16:0.01} or {model:text:8}");
        return null;
    }
}
