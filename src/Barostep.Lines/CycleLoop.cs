using Barostep.Instruments;

namespace Barostep.Lines;

/// <summary>Passes real time for one bench: pumps its lines and calls its control cycle, on the calling thread.</summary>
public sealed class CycleLoop : IDisposable
{
    private readonly TimeProvider _time;
    private readonly List<LinePump> _pumps = [];
    private readonly List<(InstrumentDriver Driver, LineAddress Address, bool CallsForCycle)> _lines = [];
    private readonly AutoResetEvent _wake = new(false);
    private readonly long _periodMicros;
    private volatile bool _calledFor;

    /// <param name="periodMicros">Longest time from one cycle to the next.</param>
    /// <param name="time">Its time stamps must be the machine's monotonic clock.</param>
    public CycleLoop(long periodMicros, TimeProvider time)
    {
        _periodMicros = periodMicros;
        _time = time;
    }

    /// <summary>Why lines cannot be used, for people.</summary>
    public IEnumerable<string> Troubles => _pumps.Select(pump => pump.Trouble).Where(trouble => trouble.Length > 0);

    /// <summary>Adds a line, before the start. Instruments with one address share it.</summary>
    /// <param name="driver">The instrument's driver.</param>
    /// <param name="address">Where its line leads.</param>
    /// <param name="callsForCycle">Whether what it tells calls for a cycle at once; a slow multimeter can wait for the next.</param>
    public void Add(InstrumentDriver driver, LineAddress address, bool callsForCycle) =>
        _lines.Add((driver, address, callsForCycle));

    /// <summary>Begins to open the lines and to work them.</summary>
    public void Start()
    {
        foreach (var shared in _lines.GroupBy(line => line.Address))
        {
            Action onReports = shared.Any(line => line.CallsForCycle) ? Call : static () => { };
            _pumps.Add(new LinePump([.. shared.Select(line => line.Driver)], shared.Key, _time, onReports));
        }

        foreach (LinePump pump in _pumps)
            pump.Start();
    }

    /// <summary>Calls the cycle every period, and at once when it is called for, until it says that it was the last.</summary>
    /// <param name="cycle">Gets now and how late it is, µs; says whether to go on.</param>
    public void Run(Func<long, long, bool> cycle)
    {
        ArgumentNullException.ThrowIfNull(cycle);
        bool goOn = true;
        long nextCycle = _time.NowMicros();
        while (goOn)
        {
            long now = _time.NowMicros();
            if (now < nextCycle && !_calledFor)
            {
                _wake.WaitOne((int)((nextCycle - now + 999) / 1000));
                continue;
            }

            _calledFor = false;
            goOn = cycle(now, Math.Max(0, now - nextCycle));
            nextCycle = now + _periodMicros;
        }
    }

    /// <summary>Calls for a cycle at once. Any thread.</summary>
    public void Call()
    {
        _calledFor = true;
        _wake.Set();
    }

    public void Dispose()
    {
        foreach (LinePump pump in _pumps)
            pump.Dispose();
        _wake.Dispose();
    }
}
