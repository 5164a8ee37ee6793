using System.Globalization;
using System.Text;

namespace Barostep.Simulators.Instruments;

/// <summary>
/// The panel dialect of a gauge: a question begins with <c>@</c> and the address, an answer ends with an exclusive-or check;
/// lines end with CR LF. What is not for its address it does not answer.
/// </summary>
public sealed class PanelDialect(PressureIndicator instrument) : IMessageReader
{
    private const int LongestLine = 32;

    private readonly TextLine _line = new(LongestLine);
    private readonly string _address = instrument.Description.Address.ToString("00", CultureInfo.InvariantCulture);

    public long WakeMicros => long.MaxValue;

    /// <summary>Exclusive or of all characters.</summary>
    public static int Check(string text) => text.Aggregate(0, (check, letter) => check ^ letter);

    public void Wake(long nowMicros)
    {
    }

    public void PowerOn() => _line.Clear();

    public void Receive(byte value, long nowMicros)
    {
        if (!_line.TryEnd(value, out string line))
        {
            return;
        }

        if (line.StartsWith($"@{_address} ", StringComparison.Ordinal) && line.Length <= LongestLine)
        {
            string body = $"@{_address} {Answer(line[4..])}*";
            instrument.Replies(Encoding.ASCII.GetBytes($"{body}{Check(body):X2}\r\n"), nowMicros);
        }
    }

    private string Answer(string question) => question switch
    {
        "WHO" => $"PANEL GAUGE;{instrument.Serial};V3",
        "UNIT" => UnitText,
        "READ" when instrument.Sensor.OverRange => "OVER",
        "READ" when instrument.ReadingPa is { } reading => string.Create(CultureInfo.InvariantCulture, $"{reading / instrument.Unit.Pascals:+00000.0000;-00000.0000} {UnitText}"),
        "READ" => "WAIT",
        _ => "WHAT",
    };

    private string UnitText => $"{instrument.Unit.Name.ToUpperInvariant()} {(instrument.Gauge ? 'G' : 'A')}";
}
