using System.Globalization;
using System.Text;
using Barostep.Procedures;
using Barostep.Records;

namespace Barostep.Daemon.Simulation.Checkers;

/// <summary>I8, first half: every reading in a record is one that arrived, at the time that the record says, with the value and the unit that its characters say.</summary>
internal sealed class ReadingChecker : Checker
{
    private readonly Wire _reference = new('\r');
    private readonly Wire _device = new('\n');
    private int _points;

    public override string Name => "I8 reading";

    public override void Heard(string port, ReadOnlySpan<byte> bytes)
    {
        if (port == "reference")
            _reference.Take(bytes, World.MonotonicMicros);
        else if (port == "multimeter")
            _device.Take(bytes, World.MonotonicMicros);
    }

    public override void RunBegan(Sweeps.SweepJob job) => _points = 0;

    public override void Happened(RunEvent happened) => _points += happened is RunEvent.PointRead ? 1 : 0;

    public override void RunEnded(RunRecord record)
    {
        if (record.Points.Count != _points)
            Report($"{_points} points were read and the record holds {record.Points.Count}");
        foreach (Sample sample in record.Zeros.SelectMany(zero => zero.Samples).Concat(record.Points.SelectMany(point => point.Samples)))
        {
            Check(sample.Reference, _reference, "reference", ReferenceValue(sample.Reference.Raw, record.AtmospherePascals));
            Check(sample.Indication, _device, "device", DeviceValue(sample.Indication.Raw));
        }
    }

    private void Check(RawReading reading, Wire wire, string who, double? told)
    {
        if (!wire.Arrived(reading.Raw, reading.AnsweredMicros))
            Report($"the record holds '{reading.Raw}' of the {who}, answered at {reading.AnsweredMicros} µs; nothing of the kind arrived then");
        else if (told is not { } value || Math.Abs(value - reading.Value) > 1e-6 * Math.Max(1, Math.Abs(value)))
            Report($"the record takes '{reading.Raw}' of the {who} for {reading.Value}; it says {told}");
        if (reading.AskedMicros >= reading.AnsweredMicros)
            Report($"'{reading.Raw}' of the {who} was answered before it was asked for");
    }

    /// <summary>Gauge pascals by the table of the fixed-width dialect; null for what is no reading.</summary>
    private static double? ReferenceValue(string raw, double atmosphere)
    {
        if (raw.Length != 20 || !raw.StartsWith("<07P", StringComparison.Ordinal) || raw[17] != '0')
            return null;
        double pascals = raw[15] switch
        {
            'B' => 1e5,
            'H' => 1e2,
            'A' => 1,
            'K' => 1e3,
            'M' => 1e6,
            'I' => 6894.757293168361,
            _ => double.NaN,
        };
        double value = double.Parse(raw.AsSpan(4, 11), NumberStyles.Float, CultureInfo.InvariantCulture) * pascals;
        return raw[16] == 'G' ? value : value - atmosphere;
    }

    private static double? DeviceValue(string raw) =>
        double.TryParse(raw, NumberStyles.Float, CultureInfo.InvariantCulture, out double value) ? value : null;

    /// <summary>What arrived on one line, message by message.</summary>
    private sealed class Wire(char terminator)
    {
        private readonly StringBuilder _partial = new();
        private readonly Dictionary<long, string> _messages = [];

        public void Take(ReadOnlySpan<byte> bytes, long nowMicros)
        {
            foreach (byte one in bytes)
            {
                if (one != terminator)
                {
                    _partial.Append((char)one);
                    continue;
                }

                _messages[nowMicros] = _partial.ToString();
                _partial.Clear();
            }
        }

        public bool Arrived(string raw, long atMicros) =>
            _messages.TryGetValue(atMicros, out string? told) && told.EndsWith(raw, StringComparison.Ordinal);
    }
}
