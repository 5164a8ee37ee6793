using Barostep.Configuration.Quantities;
using Barostep.Configuration.Toml;
using Barostep.Instruments;
using Barostep.Safety;

namespace Barostep.Configuration.Files;

/// <summary>What was read of a bench: the bench if all could be read, and its ports in any case.</summary>
internal sealed record BenchReading(BenchDefinition? Bench, IReadOnlyList<PortUse> Ports);

/// <summary>A port and where it was written.</summary>
internal sealed record PortUse(string Bench, string Port, SourcePosition Where)
{
    /// <summary>The place of the bench that it serves.</summary>
    public string Place { get; init; } = string.Empty;

    /// <summary>What is fitted there; null where that could not be read.</summary>
    public FittedInstrument? Fitted { get; init; }
}

/// <summary>Reads <c>benches/NAME.toml</c>.</summary>
internal sealed class BenchFile
{
    private const string BarometerPlace = "barometer";

    private readonly string _name;
    private readonly TableReader _file;
    private readonly IReadOnlyDictionary<string, InstrumentDefinition?> _instruments;
    private readonly IReadOnlyDictionary<string, ReferenceStandard?> _standards;
    private readonly List<PortUse> _ports = [];

    private BenchFile(
        string name,
        TableReader file,
        IReadOnlyDictionary<string, InstrumentDefinition?> instruments,
        IReadOnlyDictionary<string, ReferenceStandard?> standards)
    {
        _standards = standards;
        _name = name;
        _file = file;
        _instruments = instruments;
    }

    /// <param name="name">Name of the bench.</param>
    /// <param name="file">Its file.</param>
    /// <param name="instruments">Every definition by name; null for one whose file could not be read.</param>
    /// <param name="standards">Every reference standard by name; null likewise.</param>
    public static BenchReading Read(
        string name,
        TableReader file,
        IReadOnlyDictionary<string, InstrumentDefinition?> instruments,
        IReadOnlyDictionary<string, ReferenceStandard?> standards)
    {
        var reader = new BenchFile(name, file, instruments, standards);
        BenchDefinition? bench = reader.Read();
        return new BenchReading(bench, reader._ports);
    }

    private BenchDefinition? Read()
    {
        string? title = _file.Text("title", "Bench by the window");
        StatedPressure? atmosphere = _file.PressureIfAny("atmosphere", "1013.25 hPa absolute");
        StatedPressure? ceiling = _file.Pressure("ceiling", "16 bar gauge");
        StatedPressure? floor = _file.Pressure("floor", "-0.1 bar gauge");
        decimal? margin = _file.QuantityIfAny("set_point_margin", QuantityKind.PressureDifference, "1 Pa", "1000 bar");
        decimal? overshoot = _file.QuantityIfAny("controller_overshoot", QuantityKind.PressureDifference, "0 Pa", "100 bar");
        decimal spread = _file.QuantityOr("atmosphere_spread", QuantityKind.PressureDifference, "0 Pa", "200 hPa", 3_000m);
        decimal? maxRate = _file.Quantity("max_rate", QuantityKind.PressureRate, "0.001 mbar/s", "100 bar/s");
        // SR-14: at least 20 readings a second while pressure is held.
        decimal? period = _file.Quantity("period", QuantityKind.Time, "5 ms", "50 ms");
        decimal? lateness = _file.QuantityIfAny("lateness", QuantityKind.Time, "10 ms", "1 s");
        GasPath? gasPath = _file.Table("gas_path") is { } gas ? GasPathTable.Read(gas) : null;
        ReactionTimes reaction = _file.TableIfAny("reaction") is { } times ? ReactionTable.Read(times) : ReactionTimes.Default;
        BenchProtection protection = ProtectionTables.Read(_file);
        List<BenchPart> parts = [.. _file.Tables("part").Select(part => ReadPart(part.Name, part.Table)).OfType<BenchPart>()];
        decimal answers = _file.QuantityOr("answers_within", QuantityKind.Time, "30 s", "4 h", BenchDefinition.UsualAnswerMicros);
        TableReader? made = _file.Table("source");
        PersonAtPump? person = made is null ? null : PersonTable.Read(made);
        FittedInstrument? source = person is null ? Fitted("source", InstrumentRole.Controller, made) : null;
        FittedInstrument? reference = Fitted("reference", InstrumentRole.Indicator, _file.Table("reference"));
        FittedInstrument? multimeter = Fitted("multimeter", InstrumentRole.Multimeter, _file.TableIfAny("multimeter"));
        FittedInstrument? deviceLine = Fitted("device_line", InstrumentRole.Indicator, _file.TableIfAny("device_line"));
        List<DeviceInput> inputs = [.. _file.Tables("input").Select(input => ReadInput(input.Name, input.Table)).OfType<DeviceInput>()];
        FittedInstrument? dumpValve = Fitted("dump_valve", InstrumentRole.Relay, _file.TableIfAny("dump_valve"));
        HeadColumn? head = _file.TableIfAny("head") is { } column ? ArrangementTables.Head(column, gasPath?.Gas ?? string.Empty) : null;
        TableReader? told = _file.TableIfAny("barometer");
        BenchBarometer? barometer = told is null ? null : ArrangementTables.Barometer(told);
        FittedInstrument? barometerLine = told is null ? null : ReadBarometerLine(told);
        BenchShunt? shunt = _file.TableIfAny("shunt") is { } resistor ? ArrangementTables.Shunt(resistor) : null;
        RoomClimate? room = _file.TableIfAny("room") is { } climate ? ArrangementTables.Room(climate) : null;
        if (_file.Has("part") is false)
            _file.File.ReportMissing(_file.Where, "part", "[part.NAME] for each hose, fitting and manifold, with its rating");
        if (person is not null && protection.UnattendedAllowed)
        {
            _file.File.ReportKeepingUsable(_file.At("unattended"), "unattended.allowed = true beside source.kind = \"person\"",
                "a person who pumps is present", "write allowed = false, or leave the table out");
        }

        CheckAtmosphere(atmosphere);
        _file.Close();
        if (!_file.File.IsUsable)
            return null;

        return new BenchDefinition
        {
            Name = _name,
            Title = title!,
            Atmosphere = atmosphere ?? new StatedPressure(101_325m, PressureUnit.Pascal, PressureReference.Absolute),
            AtmosphereStated = atmosphere is not null,
            Ceiling = ceiling!.Value,
            Floor = floor!.Value,
            SetPointMargin = margin is { } pascals ? PressureDifference.FromPascals((double)pascals) : null,
            MaxRatePascalsPerSecond = (double)maxRate!.Value,
            PeriodMicros = (long)period!.Value,
            LatenessMicros = (long)(lateness ?? BenchDefinition.SharedProcessLatenessMicros),
            GasPath = gasPath!,
            ControllerOvershoot = overshoot is { } passed ? PressureDifference.FromPascals((double)passed) : null,
            AtmosphereSpreadPascals = (double)spread,
            Reaction = reaction,
            Protection = protection,
            Arrangement = new MeasuringArrangement
            {
                ReferenceTells = reference!.Definition.PressureReferenceTold,
                ReferenceResolutionPascals = reference.ResolutionPascals,
                // A sample is on average half as old as the oldest can be.
                ReferenceLagSeconds = reaction.SensorLag + reaction.TubingLag + (reaction.ConversionAge / 2),
                Head = head,
                Barometer = barometer,
                Shunt = shunt,
            },
            Room = room,
            Parts = parts,
            Source = source,
            Person = person,
            AnswersWithinMicros = (long)answers,
            Reference = reference,
            Multimeter = multimeter,
            DeviceLine = deviceLine,
            FurtherInputs = inputs,
            DumpValve = dumpValve,
            BarometerLine = barometerLine,
        };
    }

    private static BenchPart? ReadPart(string name, TableReader part)
    {
        StatedPressure? rating = part.Pressure("rating", "40 bar gauge");
        StatedPressure? floor = part.Pressure("floor", "-1 bar gauge");
        decimal? maxRate = part.Quantity("max_rate", QuantityKind.PressureRate, "0.001 mbar/s", "1000 bar/s");
        decimal derating = part.QuantityOr("derating", QuantityKind.Share, "10 %", "100 %", 1m);
        part.Close();
        return rating is { } high && floor is { } low && maxRate is { } rate
            ? new BenchPart(name, high, low, (double)rate) { Derating = derating }
            : null;
    }

    private FittedInstrument? ReadBarometerLine(TableReader told)
    {
        if (told.Has("instrument") || told.Has("port"))
        {
            FittedInstrument? fitted = Fitted(BarometerPlace, InstrumentRole.Indicator, told);
            if (fitted is not null && fitted.Definition.PressureReferenceTold != PressureReference.Absolute)
                told.File.ReportKeepingUsable(told.At("instrument"), $"barometer.instrument = \"{fitted.Definition.Name}\" tells gauge pressure", "a barometer tells the absolute pressure of the room", "name one whose read_pressure is absolute");
            return fitted;
        }

        foreach (string key in new[] { "instrument", "port", "baud", "serial_number", "address", "resolution" })
            told.Allow(key);
        told.Close();
        return null;
    }

    private DeviceInput? ReadInput(string name, TableReader table)
    {
        if (name is "multimeter" or "device_line" or "reference" or "source")
            table.File.ReportKeepingUsable(table.Where, $"[input.{name}]", "the name of an input is its own", $"name it after its channel or its plug, or write [{name}]");
        return Fitted($"input.{name}", InstrumentRole.Multimeter, table) is { } fitted ? new DeviceInput(name, fitted) : null;
    }

    private FittedInstrument? Fitted(string place, InstrumentRole role, TableReader? table)
    {
        if (table is null)
            return null;
        string? instrument = table.Text("instrument", "text-controller");
        string? port = table.Text("port", "/dev/serial/by-id/NAME");
        long? baud = table.Has("baud") ? table.Whole("baud", 300, 1_000_000) : null;
        string? serial = table.TextIfAny("serial_number", "12345");
        string? address = table.TextIfAny("address", "07");
        decimal uncertainty = table.QuantityOr("standard_uncertainty", QuantityKind.PressureDifference, "0 Pa", "100 bar", 0m);
        decimal resolution = table.QuantityOr("resolution", QuantityKind.PressureDifference, "0 Pa", "100 bar", 0m);
        ReferenceStandard? standard = place is "reference" or "multimeter" || IsInput(place) ? Standard(table) : null;
        table.Allow("baud");
        table.Close();
        InstrumentDefinition? definition = instrument is null ? null : AtAddress(Find(place, role, instrument, table), address, table);
        var use = new PortUse(_name, port ?? string.Empty, table.At("port")) { Place = place };
        if (port is not null)
            _ports.Add(use);
        if (standard is not null)
            CheckStandard(place, table, standard, serial);
        if (definition is null || port is null)
            return null;
        double uncertaintyPascals = standard is { Quantity: StandardQuantity.Pressure } ? UncertaintyOf(standard, definition) : (double)uncertainty;
        var fitted = new FittedInstrument(definition, port, (int?)baud, serial, uncertaintyPascals)
        {
            ResolutionPascals = (double)resolution,
            Standard = standard,
        };
        _ports[_ports.IndexOf(use)] = use with { Fitted = fitted };
        return fitted;
    }

    /// <summary>The definition at the address that the bench gives the instrument.</summary>
    private static InstrumentDefinition? AtAddress(InstrumentDefinition? definition, string? address, TableReader table)
    {
        if (address is null || definition is null)
            return definition;
        string found = $"{table.PathOf("address")} = \"{MessageText.OneLine(address)}\"";
        bool unit = int.TryParse(address, System.Globalization.NumberStyles.None, MessageText.Plain, out int number) && number is >= 1 and <= 247;
        if (!AddressRule.Fits(address))
            table.File.Report(table.At("address"), found, AddressRule.Rule, AddressRule.Instead);
        else if (definition.Modbus is not null && !unit)
            table.File.Report(table.At("address"), found, "a Modbus address is a number from 1 to 247", "write for example address = \"12\"");
        else if (definition.Address is null)
            table.File.Report(table.At("address"), found, $"no message of {definition.Name} has an {{address}}", "delete it, or write {address} where the address stands in its messages");
        else
            return definition.At(address);
        return null;
    }

    private static bool IsInput(string place) => place.StartsWith("input.", StringComparison.Ordinal);

    // The part of U that grows with the reading is largest at the end of the range.
    private static double UncertaintyOf(ReferenceStandard standard, InstrumentDefinition definition) =>
        standard.CalibrationUncertainty(definition.RangeTo is { } end ? (double)(end.Value * end.Unit.Pascals) : 0);

    private static void CheckStandard(string place, TableReader table, ReferenceStandard standard, string? serial)
    {
        bool forPressure = standard.Quantity == StandardQuantity.Pressure;
        if (forPressure != (place == "reference"))
        {
            table.File.ReportKeepingUsable(table.At("standard"), $"{place}.standard = \"{standard.Name}\" is a standard of {standard.Quantity.ToString().ToLowerInvariant()}",
                "the reference has a standard of pressure, the multimeter one of current or voltage", "name another, or correct quantity in its file");
        }

        if (serial is not null && serial != standard.SerialNumber)
        {
            table.File.ReportKeepingUsable(table.At("serial_number"), $"{place}.serial_number = \"{MessageText.OneLine(serial)}\", but standards/{standard.Name}.toml has \"{MessageText.OneLine(standard.SerialNumber)}\"",
                "a certificate holds for one instrument", "name the standard that is fitted, or correct the number");
        }

        if (table.Has("standard_uncertainty"))
        {
            table.File.ReportKeepingUsable(table.At("standard_uncertainty"), $"{place}.standard_uncertainty beside {place}.standard",
                "a figure is written in one place, and the standard's certificate is it", "delete it");
        }
    }

    private ReferenceStandard? Standard(TableReader table)
    {
        if (table.TextIfAny("standard", "indicator-16bar") is not { } named)
            return null;
        if (!_standards.TryGetValue(named, out ReferenceStandard? standard))
        {
            string? near = NearestName.Of(named, _standards.Keys);
            table.File.Report(table.At("standard"), $"{table.PathOf("standard")} = \"{MessageText.OneLine(named)}\"",
                $"there is no standards/{MessageText.OneLine(named)}.toml", near is null ? "write that file or name another" : $"did you mean \"{near}\"");
        }
        else if (standard is null)
        {
            table.File.NotUsable();
        }

        return standard;
    }

    private InstrumentDefinition? Find(string place, InstrumentRole role, string instrument, TableReader table)
    {
        if (!_instruments.TryGetValue(instrument, out InstrumentDefinition? definition))
        {
            string? near = NearestName.Of(instrument, _instruments.Keys);
            table.File.Report(table.At("instrument"), $"{place}.instrument = \"{MessageText.OneLine(instrument)}\"",
                $"there is no instruments/{MessageText.OneLine(instrument)}.toml", near is null ? "write that file or name another" : $"did you mean \"{near}\"");
            return null;
        }

        if (definition is null)
        {
            table.File.NotUsable();
            return null;
        }

        bool isValves = role == InstrumentRole.Controller && definition.Role == InstrumentRole.Valves;
        bool isGauge = IsInput(place) && definition.Role == InstrumentRole.Indicator;
        if (definition.Role != role && !isValves && !isGauge)
        {
            string wanted = role.ToString().ToLowerInvariant();
            table.File.ReportKeepingUsable(table.At("instrument"),
                $"{place}.instrument = \"{instrument}\" is of role \"{definition.Role.ToString().ToLowerInvariant()}\"",
                $"[{place}] takes an instrument of role \"{wanted}\"", $"name one whose file says role = \"{wanted}\"");
        }

        return definition;
    }

    private void CheckAtmosphere(StatedPressure? atmosphere)
    {
        if (atmosphere is not { } stated)
            return;
        decimal pascals = stated.Value * stated.Unit.Pascals;
        if (stated.Reference == PressureReference.Gauge)
            _file.File.Report(_file.At("atmosphere"), $"atmosphere = {stated}", "what gauge pressures count from is absolute itself", "write for example \"1013.25 hPa absolute\"");
        else if (pascals is < 50_000m or > 110_000m)
            _file.File.Report(_file.At("atmosphere"), $"atmosphere = {stated}", "it lies from 500 hPa to 1100 hPa absolute wherever people work", "read it from a barometer at the bench, not reduced to sea level");
    }
}
