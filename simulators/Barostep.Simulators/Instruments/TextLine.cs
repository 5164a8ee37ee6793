using System.Text;

namespace Barostep.Simulators.Instruments;

/// <summary>Collects characters to a line that ends by LF; what is longer than an instrument's buffer is dropped.</summary>
internal sealed class TextLine(int longest)
{
    private readonly StringBuilder _line = new();

    public void Clear() => _line.Clear();

    /// <summary>Takes one byte; the line without its end once that has come.</summary>
    public bool TryEnd(byte value, out string line)
    {
        line = string.Empty;
        if (value != '\n')
        {
            if (_line.Length <= longest)
            {
                _line.Append((char)value);
            }

            return false;
        }

        line = _line.ToString().TrimEnd('\r');
        _line.Clear();
        return true;
    }
}
