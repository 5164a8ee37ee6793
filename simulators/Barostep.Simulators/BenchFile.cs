using Barostep.Simulators.Instruments;
using Barostep.Simulators.Pneumatics;
using Tomlyn.Parsing;
using Tomlyn.Syntax;

namespace Barostep.Simulators;

/// <summary>Reads bench files: TOML, every error at once, unknown keys refused.</summary>
public static class BenchFile
{
    /// <summary>Reads a file, or a shipped bench by its name (<c>demo</c>).</summary>
    /// <exception cref="BenchFileException">The file is missing or wrong.</exception>
    public static BenchDescription Load(string pathOrName)
    {
        string shipped = Path.Combine(AppContext.BaseDirectory, "benches", pathOrName + ".toml");
        string path = !File.Exists(pathOrName) && File.Exists(shipped) ? shipped : pathOrName;
        try
        {
            return Parse(File.ReadAllText(path), path);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            string known = Directory.Exists(Path.Combine(AppContext.BaseDirectory, "benches"))
                ? string.Join(", ", Directory.GetFiles(Path.Combine(AppContext.BaseDirectory, "benches"), "*.toml").Select(Path.GetFileNameWithoutExtension).Order(StringComparer.Ordinal))
                : string.Empty;
            throw new BenchFileException($"{pathOrName}: cannot be read ({e.Message}): write the path of a bench file or the name of a shipped one: {known}");
        }
    }

    /// <summary>Reads a bench from text; <paramref name="name"/> stands in the messages.</summary>
    public static BenchDescription Parse(string text, string name)
    {
        DocumentSyntax document = SyntaxParser.Parse(text, name, true);
        if (document.HasErrors)
        {
            throw new BenchFileException(string.Join('\n', document.Diagnostics.Select(d => $"{name}:{d.Span.Start.Line + 1}: {d.Message}")));
        }

        List<string> errors = [];
        Tables tables = Split(document, name, errors);
        BenchTable root = new(name, "the file's top level", 1, document.KeyValues, errors);
        BenchDescription bench = Bench(root, tables, name);
        foreach (BenchTable table in tables.All.Append(root))
        {
            table.RefuseUnknownKeys();
        }

        return errors.Count == 0 ? bench : throw new BenchFileException(string.Join('\n', errors));
    }

    private static Tables Split(DocumentSyntax document, string name, List<string> errors)
    {
        Tables tables = new(name, errors);
        foreach (TableSyntaxBase table in document.Tables)
        {
            string key = table.Name!.ToString().Trim();
            int line = table.Span.Start.Line + 1;
            tables.Add(key, new BenchTable(name, $"[{key}]", line, table.Items, errors), line);
        }

        return tables;
    }

    private static BenchDescription Bench(BenchTable root, Tables tables, string name)
    {
        BenchTable ambient = tables.One("ambient");
        double atmospherePa = ambient.Absolute("pressure", 101_325, 101_325);
        return new BenchDescription
        {
            Name = root.Text("name", name),
            Plant = PlantOf(tables, ambient, atmospherePa),
            Transmitter = tables.Maybe("transmitter") is { } transmitter ? TransmitterOf(transmitter, atmospherePa) : null,
            Switch = tables.Maybe("switch") is { } contact ? SwitchOf(contact, atmospherePa) : null,
            Instruments = [.. tables.Many("instrument").Select(t => InstrumentOf(t, atmospherePa, tables))],
            Dump = tables.Maybe("dump") is { } dump ? DumpOf(dump) : null,
        };
    }

    private static PlantDescription PlantOf(Tables tables, BenchTable ambient, double atmospherePa)
    {
        BenchTable gas = tables.One("gas");
        BenchTable volume = tables.One("volume");
        BenchTable supply = tables.One("supply");
        BenchTable? vacuum = tables.Maybe("vacuum");
        BenchTable? relief = tables.Maybe("relief");
        PlantDescription description = new()
        {
            Gas = gas.Text("name"),
            AtmospherePa = atmospherePa,
            AmbientTemperatureK = 273.15 + ambient.Number("temperature_c", -50, 100, 20),
            VolumeM3 = 1e-3 * volume.Number("litres", 0.001, 1000),
            WallConductance = volume.Number("wall_w_per_k", 0, 1000, 0.5),
            WallHeatCapacity = volume.Number("wall_j_per_k", 0.1, 1e9, 300),
            AmbientConductance = volume.Number("ambient_w_per_k", 0, 1000, 0.5),
            LeakConductance = volume.Number("leak", 0, 1e-3, 0),
            SupplyPa = supply.Absolute("pressure", atmospherePa),
            Fill = ValveOf(tables.One("fill")),
            Vent = ValveOf(tables.One("vent")),
            Vacuum = vacuum is null ? null : ValveOf(vacuum),
            VacuumPa = vacuum?.Absolute("pressure", atmospherePa) ?? 0,
            ReliefPa = relief?.Absolute("set", atmospherePa),
            ReliefHysteresis = relief?.Number("hysteresis", 0, 0.9, 0.1) ?? 0,
            ReliefConductance = relief?.Number("conductance", 0, 1e-3, 2e-8) ?? 0,
        };
        if (Gas.Find(description.Gas) is null)
        {
            gas.Refuse("name", $"is '{description.Gas}': write one of {string.Join(", ", Gas.All.Select(g => g.Name))}");
        }

        return description;
    }

    private static ValveDescription ValveOf(BenchTable table) => new(
        table.Number("conductance", 0, 1e-3),
        table.Number("critical_ratio", 0.01, 0.9, 0.3),
        table.Micros("dead_time_ms", 0, 10_000, 5_000),
        table.Micros("travel_time_ms", 0, 10_000, 20_000));

    private static DumpDescription DumpOf(BenchTable table) => new(
        table.Text("port"),
        (int)table.Number("baud", 50, 4_000_000, 9600),
        ValveOf(table),
        table.Micros("keep_alive_ms", 10, 60_000, 500_000));

    private static DeviceErrors ErrorsOf(BenchTable table) => new(
        table.Number("zero_percent", -50, 50, 0),
        table.Number("span_percent", -50, 50, 0),
        table.Number("hysteresis_percent", 0, 20, 0),
        table.Number("linearity_percent", -20, 20, 0));

    private static TransmitterDescription TransmitterOf(BenchTable table, double atmospherePa) => new()
    {
        LowerPa = table.GaugePressure("from", atmospherePa),
        UpperPa = table.GaugePressure("to", atmospherePa),
        Errors = ErrorsOf(table),
        LagMicros = table.Micros("lag_ms", 0, 60_000, 50_000),
        NoiseA = 1e-6 * table.Number("noise_ua", 0, 1000, 0.3),
    };

    private static SwitchDescription SwitchOf(BenchTable table, double atmospherePa)
    {
        SwitchDescription description = new(
            table.GaugePressure("trip", atmospherePa), table.GaugePressure("reset", atmospherePa), table.Difference("scatter", 0));
        if (description.TripPa == description.ResetPa)
        {
            table.Refuse("reset", "must differ from 'trip': a switch has a deadband");
        }

        return description;
    }

    private static InstrumentDescription InstrumentOf(BenchTable table, double atmospherePa, Tables tables)
    {
        InstrumentKind kind = table.Word<InstrumentKind>(
            "kind", null, ("controller", InstrumentKind.Controller), ("reference", InstrumentKind.Reference), ("gauge", InstrumentKind.Gauge), ("multimeter", InstrumentKind.Multimeter), ("barometer", InstrumentKind.Barometer), ("valves", InstrumentKind.Valves), ("person", InstrumentKind.Person));
        InstrumentDescription line = LineOf(table, kind);
        if (!tables.TakePort(line))
        {
            table.Refuse("port", $"is '{line.Port}', which another instrument has: write another name, or give both the same speed and a dialect with addresses of their own");
        }

        if (kind == InstrumentKind.Person)
        {
            return line with { Person = PersonOf(tables.One("pump"), tables.One("dial"), atmospherePa) };
        }

        if (kind == InstrumentKind.Valves)
        {
            return TellerOf(table, line, atmospherePa);
        }

        if (kind is InstrumentKind.Controller or InstrumentKind.Multimeter && line.Dialect != Dialect.Text)
        {
            table.Refuse("dialect", "is for instruments with an address, which only a reference or a gauge speaks: write \"text\"");
        }

        if (kind == InstrumentKind.Multimeter)
        {
            return line with
            {
                PowerLineCycles = table.Number("power_line_cycles", 0.05, 100, 1),
                GainErrorPpm = table.Number("gain_error_ppm", -1e5, 1e5, 0),
                OffsetA = 1e-6 * table.Number("offset_ua", -1000, 1000, 0),
                NoiseA = 1e-6 * table.Number("noise_ua", 0, 1000, 0.05),
            };
        }

        InstrumentDescription teller = TellerOf(table, line, atmospherePa);
        return kind switch
        {
            InstrumentKind.Controller => teller with
            {
                LimitPa = table.GaugePressure("limit", atmospherePa, teller.UpperPa),
                RatePaPerS = table.Difference("rate", 100_000),
                OvershootShare = table.Number("overshoot_share", 0, 0.5, 0),
            },
            InstrumentKind.Gauge => teller with { Errors = ErrorsOf(table) },
            _ => teller,
        };
    }

    private static PersonDescription PersonOf(BenchTable pump, BenchTable dial, double atmospherePa) => new()
    {
        ScrewM3 = 1e-3 * pump.Number("screw_litres", 1e-6, 1),
        SlipsAtRaise = (int)pump.Number("slips_at_raise", 0, 1000, 0),
        SlipPa = pump.Difference("slips_by", 0),
        Dial = new DialDescription
        {
            LowerPa = dial.GaugePressure("from", atmospherePa),
            UpperPa = dial.GaugePressure("to", atmospherePa),
            Errors = ErrorsOf(dial),
            FrictionPercent = dial.Number("friction_percent", 0, 20, 0),
            DivisionPa = dial.Difference("division", 1_000),
            PartsOfDivision = (int)dial.Number("parts", 1, 20, 5),
            LagMicros = dial.Micros("lag_ms", 0, 60_000, 100_000),
        },
    };

    private static InstrumentDescription LineOf(BenchTable table, InstrumentKind kind)
    {
        InstrumentDescription description = new()
        {
            Kind = kind,
            Port = table.Text("port"),
            Dialect = table.Word<Dialect>("dialect", Dialect.Text, ("text", Dialect.Text), ("fixed-width", Dialect.FixedWidth), ("registers", Dialect.Registers), ("panel", Dialect.Panel)),
            Baud = (int)table.Number("baud", 50, 4_000_000, 9600),
            Serial = table.Text("serial", "00000000"),
            Address = (int)table.Number("address", 1, 99, 1),
            TurnaroundMicros = table.Micros("turnaround_ms", 0, 10_000, 2_000),
            PerByte = table.Flag("per_byte", false),
            Echo = table.Flag("echo", false),
            TellsEveryMicros = table.Micros("tells_every_ms", 0, 60_000, 0),
            BootMicros = table.Micros("boot_ms", 0, 60_000, 1_500_000),
        };
        if (description.Port.Length == 0 || description.Port.Any(c => !char.IsAsciiLetterOrDigit(c) && c is not ('-' or '_')))
        {
            table.Refuse("port", "must be a name of letters, digits, '-' and '_': it becomes a file's name");
        }

        if (description.TellsEveryMicros > 0 && (description.Dialect != Dialect.Text || kind is not (InstrumentKind.Reference or InstrumentKind.Gauge)))
        {
            table.Refuse("tells_every_ms", "is for a reference or a gauge with the text dialect: delete it");
        }

        if (description.Dialect == Dialect.FixedWidth && description.Serial.Length != 8)
        {
            table.Refuse("serial", "must have 8 characters in the fixed-width dialect");
        }

        return description;
    }

    private static InstrumentDescription TellerOf(BenchTable table, InstrumentDescription line, double atmospherePa)
    {
        InstrumentDescription description = line with
        {
            LowerPa = table.GaugePressure("from", atmospherePa),
            UpperPa = table.GaugePressure("to", atmospherePa),
            Unit = table.Text("unit", "bar"),
            Gauge = table.Word<bool>("reference", true, ("gauge", true), ("absolute", false)),
            OffsetPa = table.Difference("offset", 0),
            Gain = table.Number("gain", 0.01, 100, 1),
            NoisePa = table.Difference("noise", 0),
            ResolutionPa = table.Difference("resolution", 1),
            BarometerOffsetPa = table.Difference("barometer_offset", 0),
            LagMicros = table.Micros("lag_ms", 0, 60_000, 20_000),
            UpdateMicros = table.Micros("update_ms", 1, 60_000, 20_000),
        };
        if (UnitOfPressure.Named(description.Unit) is null)
        {
            table.Refuse("unit", $"is '{description.Unit}': write one of {string.Join(", ", UnitOfPressure.All.Select(u => u.Name))}");
        }

        if (description.UpperPa <= description.LowerPa)
        {
            table.Refuse("to", "must lie above 'from'");
        }

        if (description.UpdateMicros % Plant.StepMicros != 0)
        {
            table.Refuse("update_ms", "must be a whole number of milliseconds");
        }

        return description;
    }

    // The file's tables by name; one that no reader asks for is an error.
    private sealed class Tables(string file, List<string> errors)
    {
        private static readonly string[] Single = ["gas", "ambient", "volume", "supply", "fill", "vent", "vacuum", "relief", "transmitter", "switch", "dump", "pump", "dial"];

        private readonly List<(string Key, BenchTable Table)> _tables = [];
        private readonly List<InstrumentDescription> _lines = [];

        public IEnumerable<BenchTable> All => _tables.Select(t => t.Table);

        public void Add(string key, BenchTable table, int line)
        {
            if (key != "instrument" && !Single.Contains(key))
            {
                errors.Add($"{file}:{line}: there is no table [{key}]: write one of {string.Join(", ", Single)} or [[instrument]]");
                return;
            }

            _tables.Add((key, table));
        }

        public IEnumerable<BenchTable> Many(string key) => _tables.Where(t => t.Key == key).Select(t => t.Table);

        public BenchTable? Maybe(string key) => Many(key).FirstOrDefault();

        public BenchTable One(string key)
        {
            if (Maybe(key) is { } table)
            {
                return table;
            }

            if (key == "ambient")
            {
                return new BenchTable(file, "[ambient]", 1, null, errors);
            }

            errors.Add($"{file}:1: the table [{key}] is missing: a bench cannot do without it");
            return new BenchTable(file, $"[{key}]", 1, null, []);
        }

        // A line is shared only by instruments that are told apart by their addresses.
        public bool TakePort(InstrumentDescription line)
        {
            bool free = _lines.Where(l => l.Port == line.Port).All(l =>
                l.Baud == line.Baud && l.Dialect == line.Dialect && l.Dialect != Dialect.Text && l.Address != line.Address);
            _lines.Add(line);
            return free;
        }
    }
}
