using Barostep.Daemon.Lines;
using Barostep.Instruments;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Daemon.Sweeps;

/// <summary>Runs a sweep on real lines in real time; the control cycle has the calling thread for itself.</summary>
internal sealed class RealTimeSweep : IDisposable
{
    private readonly SweepRun run;
    private readonly TimeProvider time;
    private readonly List<LinePump> pumps = [];
    private readonly AutoResetEvent wake = new(false);
    private readonly long periodMicros;
    private volatile bool reported;

    /// <param name="run">The run.</param>
    /// <param name="addresses">Where each line leads, in the order of the bench's lines.</param>
    /// <param name="time">Its time stamps must be the machine's monotonic clock.</param>
    public RealTimeSweep(SweepRun run, IReadOnlyList<LineAddress> addresses, TimeProvider time)
    {
        this.run = run;
        this.time = time;
        periodMicros = run.Bench.Definition.PeriodMicros;
        for (int i = 0; i < addresses.Count; i++)
        {
            InstrumentDriver driver = run.Bench.Lines[i];
            // Only what the guard half judges calls for a cycle at once; a slow multimeter can wait for the next.
            bool judged = driver == run.Bench.Source || driver == run.Bench.Reference;
            pumps.Add(new LinePump(driver, addresses[i], time, judged ? Reported : Nothing));
        }
    }

    /// <summary>Runs to the end: completed, stopped, or given up with the bench vented where possible.</summary>
    /// <param name="stop">A person's first wish to end: vent at the allowed rate.</param>
    /// <param name="dump">Their second: vent as fast as the bench can.</param>
    public RunRecord Run(CancellationToken stop, CancellationToken dump)
    {
        foreach (LinePump pump in pumps)
            pump.Start();
        using CancellationTokenRegistration first = stop.Register(() => wake.Set());
        using CancellationTokenRegistration second = dump.Register(() => wake.Set());
        bool stopShown = false, dumpShown = false;
        long nextCycle = time.NowMicros();
        while (!run.Ended)
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
            run.Cycle(now, person, confirmed: true);
            nextCycle = now + periodMicros;
        }

        return run.Record(time.NowMicros());
    }

    public void Dispose()
    {
        foreach (LinePump pump in pumps)
            pump.Dispose();
        wake.Dispose();
    }

    private static void Nothing()
    {
    }

    private void Reported()
    {
        reported = true;
        wake.Set();
    }
}
