using Barostep.Control;
using Barostep.Daemon.Lines;
using Barostep.Instruments;
using Barostep.Safety;

namespace Barostep.Daemon.Sweeps;

/// <summary>Passes real time for one bench: pumps its lines and calls its control cycle, on the calling thread.</summary>
internal sealed class RealTimeLoop : IDisposable
{
    private readonly TimeProvider time;
    private readonly List<LinePump> pumps = [];
    private readonly AutoResetEvent wake = new(false);
    private readonly long periodMicros;
    private volatile bool reported;

    /// <param name="bench">The bench.</param>
    /// <param name="addresses">Where each line leads, in the order of the bench's lines.</param>
    /// <param name="time">Its time stamps must be the machine's monotonic clock.</param>
    public RealTimeLoop(Bench bench, IReadOnlyList<LineAddress> addresses, TimeProvider time)
    {
        this.time = time;
        periodMicros = bench.Definition.PeriodMicros;
        for (int i = 0; i < addresses.Count; i++)
        {
            InstrumentDriver driver = bench.Lines[i];
            // Only what the guard half judges calls for a cycle at once; a slow multimeter can wait for the next.
            bool judged = driver == bench.Source || driver == bench.Reference;
            pumps.Add(new LinePump(driver, addresses[i], time, judged ? Reported : static () => { }));
        }
    }

    /// <summary>Why lines cannot be used, for people.</summary>
    public IEnumerable<string> Troubles => pumps.Select(pump => pump.Trouble).Where(trouble => trouble.Length > 0);

    /// <summary>Calls the cycle every period, and at once when a pressure has been told.</summary>
    /// <param name="cycle">Gets now and a person's request; says whether to go on.</param>
    /// <param name="stop">A person's first wish to end: vent at the allowed rate.</param>
    /// <param name="dump">Their second: vent as fast as the bench can.</param>
    public void Run(Func<long, PersonRequest, bool> cycle, CancellationToken stop, CancellationToken dump)
    {
        foreach (LinePump pump in pumps)
            pump.Start();
        using CancellationTokenRegistration first = stop.Register(() => wake.Set());
        using CancellationTokenRegistration second = dump.Register(() => wake.Set());
        bool stopShown = false, dumpShown = false, goOn = true;
        long nextCycle = time.NowMicros();
        while (goOn)
        {
            long now = time.NowMicros();
            if (now < nextCycle && !reported)
            {
                wake.WaitOne((int)((nextCycle - now + 999) / 1000));
                continue;
            }

            reported = false;
            PersonRequest person = PersonRequest.None;
            if (dump.IsCancellationRequested && !dumpShown)
                (person, dumpShown, stopShown) = (PersonRequest.Dump, true, true);
            else if (stop.IsCancellationRequested && !stopShown)
                (person, stopShown) = (PersonRequest.Stop, true);
            goOn = cycle(now, person);
            nextCycle = now + periodMicros;
        }
    }

    public void Dispose()
    {
        foreach (LinePump pump in pumps)
            pump.Dispose();
        wake.Dispose();
    }

    private void Reported()
    {
        reported = true;
        wake.Set();
    }
}
