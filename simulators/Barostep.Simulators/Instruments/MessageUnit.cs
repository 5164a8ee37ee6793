using System.Globalization;

namespace Barostep.Simulators.Instruments;

/// <summary>One message unit under way: its parameters, and its answer as it is being made.</summary>
public sealed class MessageUnit(StatusRegisters status)
{
    // The longest message, 256 bytes of the shortest query with the longest answer, stays under this.
    private readonly byte[] _reply = new byte[4096];
    private char[] _message = [];
    private Range _parameters;
    private bool _fresh;

    /// <summary>Time at which the message's last byte arrived, or at which it goes on after waiting.</summary>
    public long NowMicros { get; private set; }

    public StatusRegisters Status => status;

    internal long PausedUntilMicros { get; private set; } = long.MaxValue;

    internal MessageHandler? Continuation { get; private set; }

    internal int ReplyLength { get; private set; }

    internal ReadOnlySpan<byte> ReplyBytes => _reply.AsSpan(0, ReplyLength);

    private ReadOnlySpan<char> Parameters => _message.AsSpan()[_parameters];

    /// <summary>Whether anything stands behind the header.</summary>
    public bool HasParameters => !Parameters.IsEmpty;

    /// <summary>The only parameter as a word. Reports -109 or -108 when there is none or more than one.</summary>
    public bool TryWord(out ReadOnlySpan<char> word)
    {
        word = Parameters;
        if (word.IsEmpty || word.Contains(','))
        {
            status.Report(word.IsEmpty ? -109 : -108);
            return false;
        }

        return true;
    }

    /// <summary>The only parameter as a number in any of NR1, NR2, NR3, and what follows it as a suffix.</summary>
    public bool TryNumber(out double value, out ReadOnlySpan<char> suffix)
    {
        value = 0;
        suffix = default;
        if (!TryWord(out ReadOnlySpan<char> word))
        {
            return false;
        }

        int length = NumberLength(word);
        suffix = word[length..].Trim();
        if (length == 0 || !double.TryParse(word[..length], NumberStyles.Float, CultureInfo.InvariantCulture, out value) || !double.IsFinite(value))
        {
            status.Report(-104);
            return false;
        }

        return true;
    }

    /// <summary>The only parameter as a number without a suffix.</summary>
    public bool TryPlainNumber(out double value)
    {
        if (!TryNumber(out value, out ReadOnlySpan<char> suffix))
        {
            return false;
        }

        if (!suffix.IsEmpty)
        {
            status.Report(-131);
        }

        return suffix.IsEmpty;
    }

    /// <summary>The only parameter as a register mask from 0 to a bound.</summary>
    public bool TryMask(int highest, out int mask)
    {
        mask = 0;
        if (!TryPlainNumber(out double value))
        {
            return false;
        }

        if (value < 0 || value > highest)
        {
            status.Report(-222);
            return false;
        }

        mask = (int)Math.Round(value);
        return true;
    }

    /// <summary>Whether a word is the short or the long form of a mnemonic such as <c>CONTrol</c>.</summary>
    public static bool Matches(ReadOnlySpan<char> word, string mnemonic)
    {
        int shortLength = mnemonic.AsSpan().IndexOfAnyInRange('a', 'z');
        return word.Equals(mnemonic, StringComparison.OrdinalIgnoreCase)
            || (shortLength > 0 && word.Equals(mnemonic.AsSpan(0, shortLength), StringComparison.OrdinalIgnoreCase));
    }

    /// <summary>Adds a number in NR3 with six decimals to the reply.</summary>
    public MessageUnit Number(double value)
    {
        Separate();
        value.TryFormat(_reply.AsSpan(ReplyLength), out int written, "0.000000E+00", CultureInfo.InvariantCulture);
        ReplyLength += written;
        return this;
    }

    /// <summary>Adds a whole number in NR1 to the reply.</summary>
    public MessageUnit Integer(int value)
    {
        Separate();
        value.TryFormat(_reply.AsSpan(ReplyLength), out int written, provider: CultureInfo.InvariantCulture);
        ReplyLength += written;
        return this;
    }

    /// <summary>Adds text as it is to the reply.</summary>
    public MessageUnit Text(ReadOnlySpan<char> text)
    {
        Separate();
        ReplyLength += System.Text.Encoding.ASCII.GetBytes(text, _reply.AsSpan(ReplyLength));
        return this;
    }

    /// <summary>Stops the message until the given time; the continuation then makes the answer.</summary>
    public void PauseUntil(long micros, MessageHandler continuation)
    {
        PausedUntilMicros = micros;
        Continuation = continuation;
    }

    internal void BeginMessage() => ReplyLength = 0;

    internal void BeginUnit(char[] message, Range parameters, long nowMicros)
    {
        _message = message;
        _parameters = parameters;
        NowMicros = nowMicros;
        _fresh = true;
    }

    internal void Resume(long nowMicros)
    {
        NowMicros = nowMicros;
        MessageHandler? continuation = Continuation;
        Abandon();
        continuation?.Invoke(this);
    }

    internal void Abandon()
    {
        PausedUntilMicros = long.MaxValue;
        Continuation = null;
    }

    internal void EndReply() => _reply[ReplyLength++] = (byte)'\n';

    private static int NumberLength(ReadOnlySpan<char> word)
    {
        int i = 0;
        while (i < word.Length && (char.IsAsciiDigit(word[i]) || word[i] is '.' or '+' or '-'))
        {
            i++;
        }

        bool exponent = i > 0 && i + 1 < word.Length && word[i] is 'e' or 'E'
            && (char.IsAsciiDigit(word[i + 1]) || (i + 2 < word.Length && word[i + 1] is '+' or '-' && char.IsAsciiDigit(word[i + 2])));
        if (exponent)
        {
            i += 2;
            while (i < word.Length && char.IsAsciiDigit(word[i]))
            {
                i++;
            }
        }

        return i;
    }

    // A semicolon parts the answers of two units, a comma the parts of one answer.
    private void Separate()
    {
        if (ReplyLength > 0)
        {
            _reply[ReplyLength++] = (byte)(_fresh ? ';' : ',');
        }

        _fresh = false;
    }
}
