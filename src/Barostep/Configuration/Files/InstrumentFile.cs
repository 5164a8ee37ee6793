using Barostep.Configuration.Quantities;
using Barostep.Configuration.Toml;
using Barostep.Instruments;
using Barostep.Safety;

namespace Barostep.Configuration.Files;

/// <summary>Reads <c>instruments/NAME.toml</c>.</summary>
internal static class InstrumentFile
{
    private static readonly Dictionary<string, InstrumentRole> Roles = new(StringComparer.Ordinal)
    {
        ["controller"] = InstrumentRole.Controller,
        ["indicator"] = InstrumentRole.Indicator,
        ["multimeter"] = InstrumentRole.Multimeter,
        ["relay"] = InstrumentRole.Relay,
        ["valves"] = InstrumentRole.Valves,
    };

    private static readonly Dictionary<string, LineParity> Parities = new(StringComparer.Ordinal)
    {
        ["none"] = LineParity.None,
        ["odd"] = LineParity.Odd,
        ["even"] = LineParity.Even,
    };

    private static readonly Dictionary<string, LineFlow> Flows = new(StringComparer.Ordinal)
    {
        ["none"] = LineFlow.None,
        ["hardware"] = LineFlow.Hardware,
        ["software"] = LineFlow.Software,
    };

    private static readonly Dictionary<string, SourceMode> Modes = new(StringComparer.Ordinal)
    {
        ["control"] = SourceMode.Controlling,
        ["hold"] = SourceMode.Measuring,
        ["vent"] = SourceMode.Venting,
    };

    private static readonly Dictionary<string, bool> Contacts = new(StringComparer.Ordinal)
    {
        ["shut"] = true,
        ["open"] = false,
    };

    /// <summary>The definition, or null where a value could not be read.</summary>
    public static InstrumentDefinition? Read(string name, TableReader file)
    {
        string? title = file.Text("title", "Pressure controller, 0 to 20 bar");
        InstrumentRole? role = file.Choice("role", Roles);
        StatedPressure? from = file.PressureIfAny("range_from", "-1 bar gauge");
        StatedPressure? to = file.PressureIfAny("range_to", "20 bar gauge");
        string? address = ReadAddress(file);
        ModbusSettings? modbus = ModbusTable.Read(file, out Framing? framing);
        TableReader? lineTable = modbus is { OverTcp: true } ? file.TableIfAny("line") : file.Table("line");
        LineSettings? line = lineTable is null ? (modbus is { OverTcp: true } ? ModbusTable.NoLine : null) : ReadLine(lineTable);
        if (!file.Has("modbus"))
            framing = file.Table("framing") is { } framingTable ? ReadFraming(framingTable) : null;
        Dictionary<string, StatedUnit> unitWords = ReadUnitWords(file);
        Dictionary<string, SourceMode> modeWords = ReadModeWords(file);
        Dictionary<string, bool> contactWords = ReadContactWords(file);
        Dictionary<Capability, ExchangeDefinition> exchanges = ReadExchanges(file, new ExchangeContext(unitWords.Count > 0, address, file.Has("modbus")));
        // A relay may have no words of its own: it is known by its port, and by what its contact does.
        // So is what talks without being asked and cannot be asked: it is known by the form of what it says.
        bool cannotBeAsked = role == InstrumentRole.Relay || (exchanges.Values.Any(exchange => exchange.Unasked) && !exchanges.ContainsKey(Capability.Identify));
        TableReader? identityTable = cannotBeAsked ? file.TableIfAny("identity") : file.Table("identity");
        Dictionary<string, string> identity = identityTable is null ? [] : ReadIdentity(identityTable, exchanges);
        file.Close();
        CheckRange(file, role, from, to);
        if (role is { } known)
            CheckCapabilities(file, known, exchanges, modeWords, cannotBeAsked);
        CheckContactWords(file, exchanges, contactWords);
        CheckStream(file, exchanges, framing);
        if (!file.File.IsUsable)
            return null;

        return new InstrumentDefinition
        {
            Name = name,
            Title = title!,
            Role = role!.Value,
            Line = line!,
            Framing = framing!,
            ExpectedIdentity = identity,
            Exchanges = exchanges,
            UnitWords = unitWords,
            ModeWords = modeWords,
            ContactWords = contactWords,
            Modbus = modbus,
            Address = address ?? modbus?.Address.ToString(MessageText.Plain),
            RangeFrom = from,
            RangeTo = to,
        };
    }

    /// <summary>What stands for <c>{address}</c> in the messages.</summary>
    private static string? ReadAddress(TableReader file)
    {
        if (file.TextIfAny("address", "07") is not { } address)
            return null;
        if (AddressRule.Fits(address))
            return address;
        file.File.Report(file.At("address"), $"address = \"{MessageText.OneLine(address)}\"", AddressRule.Rule, AddressRule.Instead);
        return null;
    }

    private static LineSettings? ReadLine(TableReader line)
    {
        long? baud = line.Whole("baud", 300, 1_000_000);
        long? dataBits = line.Whole("data_bits", 7, 8);
        LineParity? parity = line.Choice("parity", Parities);
        long? stopBits = line.Whole("stop_bits", 1, 2);
        LineFlow flow = line.ChoiceIfAny("flow", Flows) ?? LineFlow.None;
        decimal turnRound = line.QuantityOr("turn_round", QuantityKind.Time, "0 ms", "1 s", 0m);
        line.Close();
        return baud is { } speed && dataBits is { } bits && parity is { } kind && stopBits is { } stops
            ? new LineSettings((int)speed, (int)bits, kind, (int)stops) { Flow = flow, TurnRoundMicros = (long)turnRound }
            : null;
    }

    private static Framing? ReadFraming(TableReader framing)
    {
        string? terminator = framing.LineEnding("terminator");
        long? longest = framing.Whole("maximum_reply", 8, 4096);
        decimal? silence = framing.Quantity("silence", QuantityKind.Time, "1 ms", "2 s");
        bool echo = framing.TruthOr("echo", false);
        framing.Close();
        return terminator is { } text && longest is { } most && silence is { } micros
            ? new Framing([.. text.Select(character => (byte)character)], (int)most, (long)micros) { Echo = echo }
            : null;
    }

    private static Dictionary<string, StatedUnit> ReadUnitWords(TableReader file)
    {
        var words = new Dictionary<string, StatedUnit>(StringComparer.Ordinal);
        if (file.TableIfAny("unit_words") is not { } table)
            return words;
        foreach (string word in table.Entries.Select(entry => entry.Key).ToList())
        {
            if (table.Text(word, "bar gauge") is not { } text)
                continue;
            if (QuantityText.ReadUnit(text, out PressureUnit? unit, out PressureReference reference) is { } fault)
                file.File.Report(table.At(word), $"{table.PathOf(word)} = \"{MessageText.OneLine(text)}\"", fault.Rule, fault.Instead);
            else
                words[word] = new StatedUnit(unit!, reference);
        }

        return words;
    }

    private static Dictionary<string, SourceMode> ReadModeWords(TableReader file)
    {
        var words = new Dictionary<string, SourceMode>(StringComparer.Ordinal);
        if (file.TableIfAny("mode_words") is not { } table)
            return words;
        foreach (string word in table.Entries.Select(entry => entry.Key).ToList())
        {
            if (table.Choice(word, Modes) is { } mode)
                words[word] = mode;
        }

        return words;
    }

    private static Dictionary<string, bool> ReadContactWords(TableReader file)
    {
        var words = new Dictionary<string, bool>(StringComparer.Ordinal);
        if (file.TableIfAny("contact_words") is not { } table)
            return words;
        foreach (string word in table.Entries.Select(entry => entry.Key).ToList())
        {
            if (table.Choice(word, Contacts) is { } shut)
                words[word] = shut;
        }

        return words;
    }

    private static void CheckContactWords(
        TableReader file, Dictionary<Capability, ExchangeDefinition> exchanges, Dictionary<string, bool> words)
    {
        if (!exchanges.ContainsKey(Capability.ReadContact) || Contacts.Values.All(words.ContainsValue))
            return;
        file.File.ReportKeepingUsable(file.Has("contact_words") ? file.At("contact_words") : file.Where,
            "read_contact without a word for each of open and shut", "where the contact is read, [contact_words] names both",
            "add for example OPEN = \"open\" and SHUT = \"shut\"");
    }

    private static void CheckStream(TableReader file, Dictionary<Capability, ExchangeDefinition> exchanges, Framing? framing)
    {
        string[] unasked = [.. exchanges.Values.Where(exchange => exchange.Unasked).Select(exchange => CapabilityNames.NameOf(exchange.Capability))];
        if (unasked.Length > 1)
        {
            file.File.ReportKeepingUsable(file.At("exchange"), $"{string.Join(" and ", unasked)} are both told unasked",
                "an instrument tells one thing of its own accord", "ask for the other");
        }

        if (unasked.Length > 0 && framing is { Echo: true })
        {
            file.File.ReportKeepingUsable(file.At("framing"), "an echo beside what is told unasked",
                "the two could not be told apart", "switch the instrument's echo off and delete echo");
        }
    }

    private static Dictionary<Capability, ExchangeDefinition> ReadExchanges(TableReader file, ExchangeContext context)
    {
        var exchanges = new Dictionary<Capability, ExchangeDefinition>();
        foreach ((string name, TableReader table) in file.Tables("exchange"))
        {
            if (!CapabilityNames.All.TryGetValue(name, out Capability capability))
            {
                string? near = NearestName.Of(name, CapabilityNames.All.Keys);
                file.File.ReportKeepingUsable(table.Where, $"unknown exchange {MessageText.OneLine(name)}",
                    $"an exchange is one of {string.Join(", ", CapabilityNames.All.Keys)}", near is null ? "delete it" : $"did you mean [exchange.{near}]");
            }
            else if (ExchangeTable.Read(capability, table, context) is { } exchange)
            {
                exchanges[capability] = exchange;
            }
        }

        return exchanges;
    }

    private static Dictionary<string, string> ReadIdentity(TableReader identity, Dictionary<Capability, ExchangeDefinition> exchanges)
    {
        var expected = new Dictionary<string, string>(StringComparer.Ordinal);
        if (identity.Table("expect") is { } expect)
        {
            foreach (string part in expect.Entries.Select(entry => entry.Key).ToList())
            {
                if (expect.Text(part, "MODEL") is { } text)
                    expected[part] = text;
            }

            CheckIdentityParts(expect, expected, exchanges);
        }

        identity.Close();
        return expected;
    }

    private static void CheckIdentityParts(
        TableReader expect, Dictionary<string, string> expected, Dictionary<Capability, ExchangeDefinition> exchanges)
    {
        if (expected.Count == 0)
        {
            expect.File.ReportKeepingUsable(expect.Where, "identity.expect names nothing",
                "an instrument is recognised before anything is asked of it", "write for example expect = { model = \"MODEL\" }");
        }

        IReadOnlyList<string> parts = ExchangeTable.PartsOf(exchanges.GetValueOrDefault(Capability.Identify)?.Reply);
        foreach (string part in expected.Keys.Where(part => parts.Count > 0 && !parts.Contains(part)))
        {
            expect.File.ReportKeepingUsable(expect.At(part), $"{expect.PathOf(part)} is not a part of the identify reply",
                $"that reply has the parts {string.Join(", ", parts)}", "name one of these, or add the part to the reply");
        }
    }

    private static void CheckRange(TableReader file, InstrumentRole? role, StatedPressure? from, StatedPressure? to)
    {
        if (role is InstrumentRole.Controller or InstrumentRole.Indicator or InstrumentRole.Valves && !file.Has("range_to"))
            file.File.ReportKeepingUsable(file.Where, "range_to is missing", "what tells or makes pressure limits the bench", "write range_to = \"20 bar gauge\"");
        if (role is InstrumentRole.Multimeter or InstrumentRole.Relay && (file.Has("range_from") || file.Has("range_to")))
        {
            string named = role.Value.ToString().ToLowerInvariant();
            file.File.ReportKeepingUsable(file.At(file.Has("range_to") ? "range_to" : "range_from"), $"a {named} with a pressure range", $"a {named} tells no pressure", "delete it");
        }

        if (from is not { } low || to is not { } high)
            return;
        if (low.Reference != high.Reference)
            file.File.ReportKeepingUsable(file.At("range_to"), $"range_from = {low} beside range_to = {high}", "gauge and absolute are not mixed", "write both the same way");
        else if (low.Value * low.Unit.Pascals >= high.Value * high.Unit.Pascals)
            file.File.ReportKeepingUsable(file.At("range_to"), $"range_to = {high} is not above range_from = {low}", "the range rises", "exchange the two or correct one");
    }

    private static void CheckCapabilities(
        TableReader file, InstrumentRole role, Dictionary<Capability, ExchangeDefinition> exchanges, Dictionary<string, SourceMode> modeWords, bool cannotBeAsked)
    {
        string named = role.ToString().ToLowerInvariant();
        foreach (Capability needed in CapabilityNames.NeededFor(role)
            .Where(needed => !(cannotBeAsked && needed == Capability.Identify) && !file.HasBelow("exchange", CapabilityNames.NameOf(needed))))
        {
            string name = CapabilityNames.NameOf(needed);
            file.File.ReportKeepingUsable(file.At("role"), $"role = \"{named}\" without [exchange.{name}]",
                $"a {named} needs {string.Join(", ", CapabilityNames.NeededFor(role).Select(CapabilityNames.NameOf))}", $"add [exchange.{name}]");
        }

        if (role == InstrumentRole.Multimeter && !exchanges.Keys.Any(IsElectrical))
        {
            file.File.ReportKeepingUsable(file.At("role"), "role = \"multimeter\" that reads nothing",
                "a multimeter needs read_current, read_voltage or read_resistance", "add [exchange.read_current]");
        }

        if (exchanges.ContainsKey(Capability.ReadMode) && Modes.Values.Except(modeWords.Values).ToList() is { Count: > 0 } unnamed)
        {
            file.File.ReportKeepingUsable(file.Has("mode_words") ? file.At("mode_words") : file.Where,
                $"no mode word stands for {string.Join(", ", Modes.Where(word => unnamed.Contains(word.Value)).Select(word => word.Key))}",
                "where the mode is read, [mode_words] names control, hold and vent", "add for example VENT = \"vent\"");
        }
    }

    private static bool IsElectrical(Capability capability) =>
        capability is Capability.ReadCurrent or Capability.ReadVoltage or Capability.ReadResistance;
}
