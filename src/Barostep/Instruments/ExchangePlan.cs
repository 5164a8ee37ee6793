using System.Text;
using Barostep.Safety;

namespace Barostep.Instruments;

/// <summary>An exchange of a definition with its words and part numbers looked up beforehand.</summary>
internal sealed class ExchangePlan
{
    private const ulong FnvOffset = 14695981039346656037;
    private const ulong FnvPrime = 1099511628211;

    private readonly int _unitPart;
    private readonly int _modePart;
    private readonly int _contactPart;
    private readonly (byte[] Word, StatedUnit Unit)[] _units;
    private readonly (byte[] Word, SourceMode Mode)[] _modes;
    private readonly (byte[] Word, bool Shut)[] _contacts;

    public ExchangePlan(InstrumentDefinition instrument, ExchangeDefinition exchange)
    {
        Exchange = exchange;
        _unitPart = exchange.Reply?.IndexOf("unit") ?? -1;
        _modePart = exchange.Reply?.IndexOf("mode") ?? -1;
        _contactPart = exchange.Reply?.IndexOf("contact") ?? -1;
        _units = [.. instrument.UnitWords.Select(w => (Encoding.ASCII.GetBytes(w.Key), w.Value))];
        _modes = [.. instrument.ModeWords.Select(w => (Encoding.ASCII.GetBytes(w.Key), w.Value))];
        _contacts = [.. instrument.ContactWords.Select(w => (Encoding.ASCII.GetBytes(w.Key), w.Value))];
    }

    public ExchangeDefinition Exchange { get; }

    public Capability Capability => Exchange.Capability;

    /// <summary>Further tries; only a query gets any, whatever the definition says.</summary>
    public int Retries => Capability.IsQuery() ? Exchange.Retries : 0;

    /// <summary>Compares a reply's content with what is expected; a confirmed write has none.</summary>
    public ReplyMatch Match(ReadOnlySpan<byte> content, ref ReplyValues values) => Exchange.Reply is { } reply
        ? reply.Match(content, ref values)
        : content.IsEmpty ? ReplyMatch.Matched : ReplyMatch.Mismatched;

    /// <summary>Completes a report with what a matched reply tells.</summary>
    public ExchangeReport Read(ExchangeReport report, ReplyMatch match, in ReplyValues values, ReadOnlySpan<byte> reply)
    {
        if (match == ReplyMatch.OverRange)
            return report with { Outcome = ExchangeOutcome.OverRange, Value = 0 };
        if (Exchange.Reply is null)
            return report;
        if (_contactPart >= 0)
            return ReadContact(report, Exchange.Reply!.Word(_contactPart, values, reply, stackalloc byte[32]));
        int valuePart = Exchange.Reply!.ValuePart;
        PressureUnit? unit = Exchange.Unit;
        PressureReference reference = Exchange.Reference ?? PressureReference.Absolute;
        bool unitKnown = _unitPart < 0 || TryReadUnit(Exchange.Reply.Word(_unitPart, values, reply, stackalloc byte[32]), ref unit, ref reference);
        return report with
        {
            Outcome = unitKnown ? ExchangeOutcome.Answered : ExchangeOutcome.WrongUnit,
            Value = valuePart >= 0 ? values.Number(valuePart) : report.Value,
            Unit = unitKnown ? unit : null,
            Reference = reference,
            Mode = _modePart >= 0 ? ReadMode(Exchange.Reply.Word(_modePart, values, reply, stackalloc byte[32])) : SourceMode.Unknown,
        };
    }

    /// <summary>FNV-1a with 64 bits (Fowler, Noll and Vo; RFC 9923).</summary>
    public static ulong Hash(ReadOnlySpan<byte> bytes)
    {
        ulong hash = FnvOffset;
        foreach (byte b in bytes)
            hash = (hash ^ b) * FnvPrime;
        return hash;
    }

    /// <summary>1 for a valve that is shut, 0 for one that is open; a word that the definition does not know tells nothing.</summary>
    private ExchangeReport ReadContact(in ExchangeReport report, ReadOnlySpan<byte> word)
    {
        foreach ((byte[] known, bool shut) in _contacts)
        {
            if (word.SequenceEqual(known))
                return report with { Outcome = ExchangeOutcome.Answered, Value = shut ? 1 : 0 };
        }

        return report with { Outcome = ExchangeOutcome.Garbled };
    }

    private bool TryReadUnit(ReadOnlySpan<byte> word, ref PressureUnit? unit, ref PressureReference reference)
    {
        foreach ((byte[] known, StatedUnit told) in _units)
        {
            if (!word.SequenceEqual(known))
                continue;
            bool agrees = (Exchange.Unit is null || Exchange.Unit == told.Unit)
                && (Exchange.Reference is null || Exchange.Reference == told.Reference);
            unit = told.Unit;
            reference = told.Reference;
            return agrees;
        }

        return false;
    }

    private SourceMode ReadMode(ReadOnlySpan<byte> word)
    {
        foreach ((byte[] known, SourceMode mode) in _modes)
        {
            if (word.SequenceEqual(known))
                return mode;
        }

        return SourceMode.Unknown;
    }
}
