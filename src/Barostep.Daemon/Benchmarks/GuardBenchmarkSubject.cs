using Barostep.Configuration;
using Barostep.Control;
using Barostep.Instruments;
using Barostep.Lines;
using Barostep.Lines.Journals;
using Barostep.Safety;

namespace Barostep.Daemon.Benchmarks;

/// <summary>What the guard's benchmark measures, in a process of its own: its parent is the instruments.</summary>
internal static class GuardBenchmarkSubject
{
    private const int BytesOfGarbage = 1 << 16;

    private const long SafeAfterMicros = 200_000;

    private static readonly TimeSpan BetweenCollections = TimeSpan.FromMilliseconds(20);

    /// <summary>The guard half with its lines, its loop and its journal, begun anew after each trip.</summary>
    public static void RunGuardHalf(WorkshopConfiguration workshop, string ports, bool collecting)
    {
        BenchDefinition bench = workshop.Benches["demo"];
        // Only from a bench at rest does a trip bring a command that was not given already; that it rests is proved soon here.
        SafetyLimits limits = BenchSafety.LimitsFor(bench, null, workshop.Origins) with { SafeAfterMicros = SafeAfterMicros };
        using var journal = new SafetyJournal(new FileJournal(Path.Combine(ports, "journal.jsonl")), JournalHead.Genesis, wasLeftOpen: false);
        var source = new InstrumentDriver(bench.Source!);
        var reference = new InstrumentDriver(bench.Reference);
        var relay = new InstrumentDriver(bench.DumpValve!);
        using var loop = new CycleLoop(bench.PeriodMicros, TimeProvider.System);
        foreach (InstrumentDriver driver in new[] { relay, source, reference })
            loop.Add(driver, BenchLines.AddressOf(driver.Fitted, ports), callsForCycle: driver != relay);
        GuardHalf guard = Begin();
        bool ended = false;
        new Thread(() =>
        {
            Console.In.ReadToEnd();
            Volatile.Write(ref ended, true);
        })
        { IsBackground = true }.Start();
        if (collecting)
            new Thread(Collect) { IsBackground = true }.Start();
        loop.Start();
        loop.Run((now, _) =>
        {
            BenchSnapshot told = guard.Cycle(new CycleClock(now, now / 1000), default, PersonRequest.None);
            if (told.Phase == GuardPhase.Tripped && told.Reference.IsGood && told.Reference.Value < told.EffectiveCeiling)
                guard = Begin();
            return !Volatile.Read(ref ended);
        });

        GuardHalf Begin() => new(limits, SafetyState.Initial, source, reference, bench.PeriodMicros, journal, relay);
    }

    /// <summary>The least that any program can do: read a reply, write the command.</summary>
    public static void RunBare(string ports)
    {
        using FileStream reference = Open("reference");
        using FileStream controller = Open("controller");
        byte[] command = "SOUR:MODE VENT;MODE?\n"u8.ToArray();
        byte[] chunk = new byte[64];
        try
        {
            for (int length = reference.Read(chunk); length > 0; length = reference.Read(chunk))
            {
                if (chunk[length - 1] == '\r')
                    controller.Write(command);
            }
        }
        catch (IOException)
        {
            // Hanging up the terminals ends it.
        }

        FileStream Open(string port) => new(Path.Combine(ports, port), FileMode.Open, FileAccess.ReadWrite, FileShare.ReadWrite, bufferSize: 0);
    }

    /// <summary>Keeps one processor busy until the parent has gone.</summary>
    public static void RunBusy()
    {
        bool ended = false;
        new Thread(() =>
        {
            while (!Volatile.Read(ref ended))
            {
                // That is all.
            }
        })
        { IsBackground = true }.Start();
        Console.In.ReadToEnd();
        Volatile.Write(ref ended, true);
    }

    private static void Collect()
    {
        while (true)
        {
            GC.KeepAlive(new byte[BytesOfGarbage]);
            GC.Collect(GC.MaxGeneration, GCCollectionMode.Forced, blocking: true);
            Thread.Sleep(BetweenCollections);
        }
    }
}
