using System.Text.RegularExpressions;
using Barostep.Configuration.Quantities;
using Barostep.Configuration.Toml;
using Barostep.Instruments;
using Barostep.Safety;

namespace Barostep.Configuration.Files;

/// <summary>What the rest of a definition says of its exchanges.</summary>
/// <param name="HasUnitWords">Whether it says what the unit words of replies mean.</param>
/// <param name="Address">What stands for <c>{address}</c>.</param>
/// <param name="IsModbus">Whether registers travel instead of messages.</param>
internal readonly record struct ExchangeContext(bool HasUnitWords, string? Address, bool IsModbus);

/// <summary>Reads one <c>[exchange.NAME]</c> of an instrument definition.</summary>
internal static partial class ExchangeTable
{
    private static readonly Dictionary<string, PressureUnit?> Units =
        PressureUnit.All.ToDictionary(unit => unit.Symbol, PressureUnit? (unit) => unit, StringComparer.Ordinal);

    private static readonly Dictionary<string, PressureReference> References = new(StringComparer.Ordinal)
    {
        ["gauge"] = PressureReference.Gauge,
        ["absolute"] = PressureReference.Absolute,
    };

    /// <summary>The exchange, or null where a value could not be read.</summary>
    /// <param name="capability">What it is for.</param>
    /// <param name="table">Its table.</param>
    /// <param name="context">What the rest of the definition says.</param>
    public static ExchangeDefinition? Read(Capability capability, TableReader table, ExchangeContext context)
    {
        bool unasked = !context.IsModbus && table.TruthOr("unasked", false);
        bool asks = !unasked && !(context.IsModbus && !CapabilityNames.IsCommand(capability));
        RequestTemplate? request = asks || table.Has("request") ? ReadRequest(table, context.Address) : RequestTemplate.Empty;
        ReplyPattern? reply = ReadReply(table, context.Address);
        RegisterAccess? registers = context.IsModbus ? ModbusTable.ReadAccess(capability, table, request, reply) : null;
        string? symbol = table.TextIfAny("unit", "bar");
        PressureReference? reference = table.ChoiceIfAny("reference", References);
        decimal? timeout = table.Quantity("timeout", QuantityKind.Time, "10 ms", "1 min");
        long retries = table.WholeOr("retries", 0, 0, 5);
        table.Close();
        PressureUnit? unit = UnitOf(table, symbol);
        CheckUnit(capability, table, reply, context.HasUnitWords);
        CheckRetries(capability, table, retries);
        if (unasked)
            CheckUnasked(capability, table, retries);
        if (!CapabilityNames.IsCommand(capability) && !table.Has("reply"))
            table.File.ReportMissing(table.Where, table.PathOf("reply"), "reply = \"{value:number}\"");
        return request is not null && timeout is { } longest && registers is not null == context.IsModbus
            ? new ExchangeDefinition(capability, request, reply, unit, reference, (long)longest, (int)retries) { Unasked = unasked, Registers = registers }
            : null;
    }

    /// <summary>Names of the parts of a reply.</summary>
    public static IReadOnlyList<string> PartsOf(ReplyPattern? reply) =>
        reply is null ? [] : [.. PartName().Matches(reply.Text).Select(match => match.Groups["name"].Value)];

    private static void CheckUnasked(Capability capability, TableReader table, long retries)
    {
        bool tells = capability is Capability.ReadPressure or Capability.ReadCurrent or Capability.ReadVoltage or Capability.ReadResistance;
        if (!tells)
            Refuse("unasked", "only what an instrument measures can be told unasked", "delete unasked and write a request");
        if (table.Has("request"))
            Refuse("request", "what is told unasked is not asked for", "delete it, or delete unasked");
        if (retries > 0)
            Refuse("retries", "what is told unasked is not asked for again", "delete it");

        void Refuse(string key, string rule, string instead) =>
            table.File.ReportKeepingUsable(table.At(key), $"{table.PathOf(key)} in {CapabilityNames.NameOf(capability)}", rule, instead);
    }

    private static RequestTemplate? ReadRequest(TableReader table, string? address)
    {
        if (table.Text("request", "*IDN?") is not { } text)
            return null;
        if (RequestTemplate.TryParse(text, address, out RequestTemplate request, out string error))
            return request;
        ReportPattern(table, "request", error);
        return null;
    }

    private static ReplyPattern? ReadReply(TableReader table, string? address)
    {
        if (table.TextIfAny("reply", "{value:number}") is not { } text)
            return null;
        if (ReplyPattern.TryParse(text, address, out ReplyPattern reply, out string error))
            return reply;
        ReportPattern(table, "reply", error);
        return null;
    }

    /// <summary>The pattern's own message already says what was found and what to write.</summary>
    private static void ReportPattern(TableReader table, string key, string error)
    {
        string[] halves = error.Split("; ", 2);
        table.File.Report(table.At(key), $"{table.PathOf(key)}: {MessageText.OneLine(halves[0], 120)}",
            "a message is text with {name:type} where values stand", halves.Length > 1 ? MessageText.OneLine(halves[1], 200) : "correct it");
    }

    private static PressureUnit? UnitOf(TableReader table, string? symbol)
    {
        if (symbol is null || Units.GetValueOrDefault(symbol) is { } unit)
            return symbol is null ? null : Units[symbol];
        string? near = NearestName.Of(symbol, Units.Keys);
        table.File.Report(table.At("unit"), $"{table.PathOf("unit")} = \"{MessageText.OneLine(symbol)}\"",
            $"it is one of {UnitHint.PressureUnits}; units are case-sensitive", near is null ? "write one of these" : $"did you mean \"{near}\"");
        return null;
    }

    private static void CheckUnit(Capability capability, TableReader table, ReplyPattern? reply, bool hasUnitWords)
    {
        bool carries = CapabilityNames.CarriesPressure(capability);
        bool namesOwn = !CapabilityNames.IsCommand(capability) && PartsOf(reply).Contains("unit");
        if (!carries && capability is not (Capability.WriteRate or Capability.ReadUnit))
        {
            if (table.Has("unit") || table.Has("reference"))
                Refuse(table.Has("unit") ? "unit" : "reference", "no pressure travels in this exchange", "delete it");
            return;
        }

        if (capability == Capability.WriteRate && table.Has("reference"))
            Refuse("reference", "a rate is neither gauge nor absolute", "delete it");
        if (namesOwn && !hasUnitWords)
            Refuse("reply", "what names its own unit needs [unit_words]", "add [unit_words] with a line for each word, such as BAR = \"bar gauge\"");
        if (capability == Capability.ReadUnit && !namesOwn && (table.Has("unit") || table.Has("reference")))
            Refuse(table.Has("unit") ? "unit" : "reference", "the reply has no part that names a unit", "add {unit:text} to the reply, or delete it");
        if (namesOwn || capability == Capability.ReadUnit)
            return;
        if (!table.Has("unit"))
            table.File.ReportMissing(table.Where, table.PathOf("unit"), "unit = \"bar\"");
        if (carries && !table.Has("reference"))
            table.File.ReportMissing(table.Where, table.PathOf("reference"), "reference = \"gauge\" or \"absolute\"");

        void Refuse(string key, string rule, string instead) =>
            table.File.ReportKeepingUsable(table.At(key), $"{table.PathOf(key)} in {CapabilityNames.NameOf(capability)}", rule, instead);
    }

    private static void CheckRetries(Capability capability, TableReader table, long retries)
    {
        if (retries > 0 && CapabilityNames.IsCommand(capability))
        {
            table.File.ReportKeepingUsable(table.At("retries"), $"{table.PathOf("retries")} = {retries}",
                "what can move pressure is never sent again blindly", "delete it or write 0");
        }
    }

    [GeneratedRegex("""(?<!\\)\{(?<name>[A-Za-z][A-Za-z0-9]*):(?!sum8hex|xor8hex)""", RegexOptions.CultureInvariant)]
    private static partial Regex PartName();
}
