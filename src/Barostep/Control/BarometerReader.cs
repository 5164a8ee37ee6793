using Barostep.Instruments;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Control;

/// <summary>Reads the bench's barometer during a run. Nothing of safety rests on it: the guard counts from the stated atmosphere.</summary>
internal sealed class BarometerReader
{
    /// <summary>The weather is slow; a reading a minute shows what it did during a run.</summary>
    private const long KeepEveryMicros = 60_000_000;

    private const long PollMicros = 5_000_000;

    /// <summary>A barometer that was silent for this long is not there.</summary>
    private const long SilenceMicros = 20_000_000;

    private readonly InstrumentDriver _line;
    private readonly long _beganMicros;
    private long _lastGoodMicros;
    private long _keepFromMicros;
    private EnvironmentReading? _newest;

    public BarometerReader(InstrumentDriver line, long nowMicros)
    {
        _line = line;
        _beganMicros = nowMicros;
        _lastGoodMicros = nowMicros;
        line.Poll(Capability.ReadPressure, PollMicros);
    }

    /// <summary>Takes what the line has reported.</summary>
    public void Collect()
    {
        while (_line.TryTake(out ExchangeReport report))
        {
            bool good = report.Capability == Capability.ReadPressure && report.Outcome == ExchangeOutcome.Answered && report.AskedMicros >= _beganMicros;
            if (!good || !report.TryGetPressure(Pressure.Vacuum, out Pressure told))
                continue;
            _lastGoodMicros = report.AnsweredMicros;
            _newest = new EnvironmentReading(report.AskedMicros, null, null, told.Pascals, _line.IdentityText);
        }
    }

    /// <summary>The reading that is to be kept now; null while none is due.</summary>
    public EnvironmentReading? Take(long nowMicros)
    {
        if (_newest is not { } newest || nowMicros < _keepFromMicros)
            return null;
        _newest = null;
        _keepFromMicros = nowMicros + KeepEveryMicros;
        return newest;
    }

    /// <summary>Why it cannot be read; null while it can.</summary>
    public string? Fault(long nowMicros)
    {
        if (_line.State == LinkState.WrongInstrument)
            return $"barometer {_line.Fitted.Definition.Title} on port {_line.IdentityProblem}";
        return nowMicros - _lastGoodMicros <= SilenceMicros
            ? null
            : $"barometer {_line.Fitted.Definition.Title} on port {_line.Fitted.Port}: no understandable answer, and a device is compared through it";
    }
}
