using Barostep.Configuration;
using Barostep.Instruments;
using Barostep.Procedures;
using Barostep.Safety;

namespace Barostep.Control;

/// <summary>Reads one device under test over its line or its channel of the multimeter.</summary>
internal sealed class DeviceReader
{
    /// <summary>A device that was silent for this long is not there.</summary>
    private const long SilenceMicros = 5_000_000;

    private const long PollMicros = 100_000;

    private readonly InstrumentDriver _line;
    private readonly Capability _reads;
    private readonly double _unitsPerReading;
    private readonly Pressure _atmosphere;
    private readonly long _beganMicros;
    private long _lastGoodMicros;

    /// <param name="plan">The run as this device sees it.</param>
    /// <param name="line">Its own line, or that of the multimeter's channel.</param>
    /// <param name="nowMicros">Now.</param>
    /// <param name="shunt">The resistor over which a current is read; null where the multimeter reads it itself.</param>
    public DeviceReader(RunPlan plan, InstrumentDriver line, long nowMicros, BenchShunt? shunt)
    {
        _line = line;
        _reads = DeviceInput.Needed(plan.Device, shunt);
        _unitsPerReading = plan.Device.Output == DeviceOutput.Current && shunt is not null ? 1 / shunt.OhmsAt20 : 1;
        _atmosphere = plan.Atmosphere;
        _beganMicros = nowMicros;
        _lastGoodMicros = nowMicros + SilenceMicros;
        line.Poll(_reads, Math.Min(PollMicros, plan.Procedure.SampleIntervalMicros));
    }

    /// <summary>What the device tells now.</summary>
    public IndicationReading Indication { get; private set; }

    /// <summary>Takes what the line has reported.</summary>
    public void Collect()
    {
        while (_line.TryTake(out ExchangeReport report))
        {
            // A line that was read for an earlier run still holds what the device of that run told.
            if (report.Capability != _reads || report.Outcome != ExchangeOutcome.Answered || report.AskedMicros < _beganMicros)
                continue;
            double value;
            if (_reads != Capability.ReadPressure)
                value = (double)report.Value * _unitsPerReading;
            else if (report.TryGetPressure(_atmosphere, out Pressure told))
                value = told.Pascals;
            else
                continue;
            _lastGoodMicros = report.AnsweredMicros;
            Indication = new IndicationReading(Indication.Count + 1, value, report.Reply, report.AskedMicros, report.AnsweredMicros);
        }
    }

    /// <summary>Why the device cannot be read; null while it can.</summary>
    public string? Fault(long nowMicros)
    {
        string title = _line.Fitted.Definition.Title;
        if (_line.State == LinkState.WrongInstrument)
            return $"{title} on port {_line.IdentityProblem}";
        string name = $"{title} on port {_line.Fitted.Port}";
        if (nowMicros - _lastGoodMicros <= SilenceMicros)
            return null;
        return _line.State == LinkState.Closed ? $"{name}: the line is not open. {_line.LineTrouble}".TrimEnd() : $"{name}: no understandable answer";
    }
}
