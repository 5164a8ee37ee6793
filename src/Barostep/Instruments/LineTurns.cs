namespace Barostep.Instruments;

/// <summary>Instruments that share one line and take turns on it: one exchange is open at a time, whoever's it is.</summary>
/// <remarks>Each is told apart by the address in its messages. Not for what vents: it would wait for the others' replies.</remarks>
public sealed class LineTurns
{
    private readonly InstrumentDriver[] _drivers;
    private readonly DeafLine _deaf = new();
    private int _holder = -1;
    private int _first;

    /// <param name="drivers">One for each instrument of the line, at least one.</param>
    public LineTurns(IReadOnlyList<InstrumentDriver> drivers)
    {
        ArgumentNullException.ThrowIfNull(drivers);
        ArgumentOutOfRangeException.ThrowIfZero(drivers.Count);
        _drivers = [.. drivers];
    }

    public IReadOnlyList<InstrumentDriver> Drivers => _drivers;

    /// <summary>Does what is due on the line, as <see cref="InstrumentDriver.Advance(long, IByteLine)"/> does for one instrument.</summary>
    public long Advance(long nowMicros, IByteLine line)
    {
        ArgumentNullException.ThrowIfNull(line);
        if (_drivers.Length == 1)
            return _drivers[0].Advance(nowMicros, line);
        long next = long.MaxValue;
        if (_holder >= 0)
        {
            next = _drivers[_holder].Advance(nowMicros, line, mayStart: false);
            if (!_drivers[_holder].IsBusy)
                PassOn();
        }

        return GiveTurns(nowMicros, line, next);
    }

    /// <summary>Whoever held the line last comes last, so that one with much to ask starves no other.</summary>
    private void PassOn()
    {
        foreach (InstrumentDriver driver in _drivers)
            driver.QuietFrom = Math.Max(driver.QuietFrom, _drivers[_holder].QuietFrom);
        _first = (_holder + 1) % _drivers.Length;
        _holder = -1;
    }

    private long GiveTurns(long nowMicros, IByteLine line, long next)
    {
        _deaf.Line = line;
        bool wasHeld = _holder >= 0;
        for (int i = 0; i < _drivers.Length; i++)
        {
            int place = (_first + i) % _drivers.Length;
            if (_holder == place && wasHeld)
                continue;
            bool mayStart = _holder < 0;
            long call = _drivers[place].Advance(nowMicros, mayStart ? line : _deaf, mayStart);
            if (!mayStart)
                continue;
            next = _drivers[place].IsBusy ? call : Math.Min(next, call);
            if (_drivers[place].IsBusy)
                _holder = place;
        }

        return next;
    }

    /// <summary>The line as it looks to those whose turn it is not: what arrives is not for them.</summary>
    private sealed class DeafLine : IByteLine
    {
        public IByteLine? Line { get; set; }

        public bool IsOpen => Line is { IsOpen: true };

        public int Receive(Span<byte> buffer) => 0;

        public bool Send(ReadOnlySpan<byte> bytes) => false;
    }
}
