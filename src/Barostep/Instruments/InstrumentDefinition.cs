using System.Globalization;
using Barostep.Safety;

namespace Barostep.Instruments;

public enum InstrumentRole
{
    /// <summary>Takes a set point, makes pressure and vents.</summary>
    Controller,

    /// <summary>Tells pressure.</summary>
    Indicator,

    /// <summary>Tells current, voltage and resistance.</summary>
    Multimeter,

    /// <summary>Holds the normally open dump valve shut while it is told so again and again.</summary>
    Relay,

    /// <summary>Opens a pump's fill and bleed valves for a stated time each; the loop over them is ours.</summary>
    Valves,
}

/// <summary>One thing that an instrument can be asked or told. A definition has at most one exchange for each.</summary>
public enum Capability
{
    Identify,
    ReadPressure,
    ReadUnit,
    WriteUnit,
    ReadSetPoint,
    WriteSetPoint,
    WriteRate,
    ReadMode,
    Control,
    Hold,
    Vent,
    ReadUpperLimit,
    WriteUpperLimit,
    ReadError,
    ReadRestart,
    ReadCurrent,
    ReadVoltage,
    ReadResistance,

    /// <summary>Shuts the dump valve and begins the keep-alive's time.</summary>
    Arm,

    /// <summary>Keeps the dump valve shut for another while; its value counts up.</summary>
    KeepAlive,

    /// <summary>Opens the dump valve at once.</summary>
    Open,

    /// <summary>Tells where the dump valve's contact stands.</summary>
    ReadContact,

    /// <summary>Opens the fill valve for a time, ms.</summary>
    Fill,

    /// <summary>Opens the bleed valve for a time, ms.</summary>
    Bleed,
}

public enum LineParity
{
    None,
    Odd,
    Even,
}

public enum LineFlow
{
    None,

    /// <summary>By the lines RTS and CTS.</summary>
    Hardware,

    /// <summary>By the characters XON and XOFF.</summary>
    Software,
}

/// <summary>Line settings that a bench file may override only in its speed.</summary>
public sealed record LineSettings(int Baud, int DataBits, LineParity Parity, int StopBits)
{
    /// <summary>Whether the adapter holds back while the other end is not ready.</summary>
    public LineFlow Flow { get; init; } = LineFlow.None;

    /// <summary>Least silence between what arrived last and the next message, µs: the time that a two-wire line needs to turn round.</summary>
    public long TurnRoundMicros { get; init; }
}

/// <summary>Where a message ends.</summary>
/// <param name="Terminator">Bytes that end a request and a reply.</param>
/// <param name="MaximumReply">A longer reply without a terminator is garbage, bytes.</param>
/// <param name="SilenceMicros">After garbage the line is drained until it was silent for this long.</param>
public sealed record Framing(byte[] Terminator, int MaximumReply, long SilenceMicros)
{
    /// <summary>Whether every message comes back before its reply, as on a two-wire line or from a terminal.</summary>
    public bool Echo { get; init; }
}

/// <summary>One request and the reply it brings.</summary>
/// <param name="Capability">What it is for.</param>
/// <param name="Request">The message, with places for values.</param>
/// <param name="Reply">The expected reply; null where the instrument says nothing.</param>
/// <param name="Unit">Unit of a pressure in request or reply; null where the reply names its own or there is none.</param>
/// <param name="Reference">Reference of a pressure in request or reply; null likewise.</param>
/// <param name="TimeoutMicros">Longest wait for the reply, from the last byte sent.</param>
/// <param name="Retries">Further tries after silence or garbage; always 0 for what can move pressure.</param>
public sealed record ExchangeDefinition(
    Capability Capability,
    RequestTemplate Request,
    ReplyPattern? Reply,
    PressureUnit? Unit,
    PressureReference? Reference,
    long TimeoutMicros,
    int Retries)
{
    /// <summary>Whether the instrument tells this without being asked; its time-out is then the longest silence.</summary>
    public bool Unasked { get; init; }

    /// <summary>Registers that travel, for an instrument that speaks Modbus; null for others.</summary>
    public RegisterAccess? Registers { get; init; }

    /// <summary>The same exchange with an instrument at another address.</summary>
    public ExchangeDefinition At(string address)
    {
        RequestTemplate.TryParse(Request.Text, address, out RequestTemplate request, out _);
        ReplyPattern? reply = null;
        if (Reply is not null)
            ReplyPattern.TryParse(Reply.Text, address, out reply, out _);
        return this with { Request = Unasked ? RequestTemplate.Empty : request, Reply = reply };
    }
}

/// <summary>An instrument as data: identity, line, and an exchange for each thing it can do.</summary>
public sealed record InstrumentDefinition
{
    /// <summary>The name by which bench files call it: the file's name without its ending.</summary>
    public required string Name { get; init; }

    public required string Title { get; init; }

    public required InstrumentRole Role { get; init; }

    public required LineSettings Line { get; init; }

    public required Framing Framing { get; init; }

    /// <summary>
    /// Named parts of the identify reply and the text each must equal. A part <c>serial</c> is compared with the
    /// bench file's serial number as well.
    /// </summary>
    public required IReadOnlyDictionary<string, string> ExpectedIdentity { get; init; }

    public required IReadOnlyDictionary<Capability, ExchangeDefinition> Exchanges { get; init; }

    /// <summary>For instruments whose reply names its unit: what each word or letter stands for.</summary>
    public required IReadOnlyDictionary<string, StatedUnit> UnitWords { get; init; }

    /// <summary>For controllers: what the mode reply says for each mode.</summary>
    public required IReadOnlyDictionary<string, SourceMode> ModeWords { get; init; }

    /// <summary>For relays: whether what the contact reply says means that the dump valve is shut.</summary>
    public IReadOnlyDictionary<string, bool> ContactWords { get; init; } = new Dictionary<string, bool>();

    /// <summary>How it is reached over Modbus; null where it has messages with a terminator.</summary>
    public ModbusSettings? Modbus { get; init; }

    /// <summary>What stands for <c>{address}</c> in its messages; null where nothing does.</summary>
    public string? Address { get; init; }

    /// <summary>What it tells without being asked; null where it only answers.</summary>
    public ExchangeDefinition? Stream => Exchanges.Values.FirstOrDefault(exchange => exchange.Unasked);

    /// <summary>Highest pressure that the instrument itself can tell or make; one of the bench's limits.</summary>
    public StatedPressure? RangeTo { get; init; }

    public StatedPressure? RangeFrom { get; init; }

    /// <summary>The same instrument at another address of its line.</summary>
    /// <exception cref="ArgumentException">The address is no number from 1 to 247, which Modbus asks for.</exception>
    public InstrumentDefinition At(string address)
    {
        if (Modbus is { } modbus)
        {
            return int.TryParse(address, NumberStyles.None, CultureInfo.InvariantCulture, out int unit) && unit is >= 1 and <= 247
                ? this with { Modbus = modbus with { Address = unit }, Address = address }
                : throw new ArgumentException($"'{address}' is no address of Modbus", nameof(address));
        }

        return this with
        {
            Address = address,
            Exchanges = Exchanges.ToDictionary(pair => pair.Key, pair => pair.Value.At(address)),
        };
    }

    /// <summary>What its pressure readings count from; null where only the reply will say.</summary>
    public PressureReference? PressureReferenceTold
    {
        get
        {
            if (Exchanges.GetValueOrDefault(Capability.ReadPressure)?.Reference is { } stated)
                return stated;
            PressureReference[] words = [.. UnitWords.Values.Select(unit => unit.Reference).Distinct()];
            return words.Length == 1 ? words[0] : RangeTo?.Reference;
        }
    }

    public bool Can(Capability capability) => Exchanges.ContainsKey(capability);
}

/// <summary>A unit together with its reference, as a reply names them.</summary>
public sealed record StatedUnit(PressureUnit Unit, PressureReference Reference);

