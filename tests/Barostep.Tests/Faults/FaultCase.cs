using Barostep.Safety;

namespace Barostep.Tests.Faults;

/// <summary>One fault: what is done to a bench, and when.</summary>
/// <param name="Name">Of the fault.</param>
/// <param name="Do">Brings it about; ends when nothing more is to be done than to wait.</param>
internal sealed record FaultCase(string Name, Func<FaultBench, Task> Do)
{
    private const int MostAttempts = 5;

    /// <summary>When the fault begins, in a short test.</summary>
    public Func<FaultBench, Task> Begin { get; init; } = Rising;

    /// <summary>Nobody has asked for pressure when it begins.</summary>
    public bool WithoutRun { get; init; }

    /// <summary>The sweep starts its guard itself.</summary>
    public bool WithoutGuard { get; init; }

    public bool OneSpeed { get; init; }

    /// <summary>The fault keeps the gas in, or feeds it: what must come about is that people are told.</summary>
    public bool GasStays { get; init; }

    /// <summary>While the pressure rises for the first time, to the probe.</summary>
    public static Task Rising(FaultBench bench) => bench.UntilAboveAsync(0.25);

    /// <summary>While the first point is held.</summary>
    public static async Task Holding(FaultBench bench)
    {
        await bench.UntilAboveAsync(2.35);
        double arrived = bench.Now.Seconds;
        await bench.UntilAsync(() => bench.Now.Seconds > arrived + 0.7, "the first point is held");
    }

    /// <summary>While the pressure rises to the first point.</summary>
    public static Task RisingHigh(FaultBench bench) => bench.UntilAboveAsync(0.7);

    /// <summary>While the pressure rises to the last point, close below the ceiling.</summary>
    public static Task High(FaultBench bench) => bench.UntilAboveAsync(4.8);

    /// <summary>While the last point is held, at nine tenths of the ceiling.</summary>
    public static Task Top(FaultBench bench) => bench.UntilAboveAsync(5.38);

    /// <summary>While the pressure comes down from the last point.</summary>
    public static async Task Falling(FaultBench bench)
    {
        await bench.UntilAboveAsync(5.38);
        await bench.UntilAsync(() => bench.Now.BarGauge < 4, "the pressure falls");
    }

    /// <summary>When a run has begun and wants no pressure yet.</summary>
    public static Task AtZero(FaultBench bench) =>
        bench.UntilInRunAsync(() => bench.Sweep!.Error.Contains("reading the zero", StringComparison.Ordinal), "the run reads its zero");

    /// <summary>While the guard and nobody else looks after a vented bench.</summary>
    public static Task AtRest(FaultBench bench) => bench.UntilPhaseAsync(GuardPhase.Safe);

    /// <summary>What the guard runs under; nothing unless it is to lack something.</summary>
    public Func<FaultBench, string[]> Wrapper { get; init; } = static _ => [];

    /// <summary>What the sweep is told beside bench, device and procedure.</summary>
    public Func<FaultBench, string[]> SweepArguments { get; init; } = static _ => [];

    /// <summary>The journal may end within an entry: its last words did not reach the disk.</summary>
    public bool TearsJournal { get; init; }

    /// <summary>It only means something at the instant that it names, and is not tried at others.</summary>
    public bool HasItsInstant { get; init; }

    public override string ToString() => Name;

    /// <summary>Runs it through.</summary>
    /// <param name="seed">For what is left to chance.</param>
    /// <param name="begin">When it begins; null for the short test's own instant.</param>
    public async Task<FaultRun> RunAsync(int seed = 1, Func<FaultBench, Task>? begin = null)
    {
        using FaultBench bench = await ReachAsync(seed, begin);
        double faultAt = bench.Now.Seconds;
        await Do(bench);
        bool told = await ComeToRestAsync(bench);
        return await EndAsync(bench, faultAt, told);
    }

    /// <summary>Brings a bench to where the fault begins.</summary>
    public async Task<FaultBench> ReachAsync(int seed, Func<FaultBench, Task>? begin = null)
    {
        for (int attempt = 1; ; attempt++)
        {
            FaultBench bench = await FaultBench.StartAsync(seed, OneSpeed);
            try
            {
                if (!WithoutGuard)
                    await bench.StartGuardAsync(Wrapper(bench));
                if (!WithoutRun)
                    bench.StartSweep(SweepArguments(bench));
                await (begin ?? Begin)(bench);
                return bench;
            }
            catch (RunOverException) when (attempt < MostAttempts)
            {
                // A busy machine makes readings late, and the guard does not forgive that: the fault has not begun yet.
                bench.Dispose();
            }
            catch
            {
                bench.Dispose();
                throw;
            }
        }
    }

    /// <summary>Waits for the vent, or until somebody is told that there is none.</summary>
    private async Task<bool> ComeToRestAsync(FaultBench bench)
    {
        if (!GasStays)
        {
            await bench.UntilVentedAsync();
            return ToldUnconfirmed(bench);
        }

        await bench.UntilAsync(() => ToldUnconfirmed(bench) && bench.Now.DumpOpening >= 1, "the dump valve is open and people are told");
        double before = bench.Now.PressurePascals, at = bench.Now.Seconds;
        await bench.UntilAsync(
            () =>
            {
                TrueMoment now = bench.Now;
                bool still = now.Seconds - at < 1 || Math.Abs(now.PressurePascals - before) < 200;
                bool looked = now.Seconds - at >= 1;
                if (looked)
                    (before, at) = (now.PressurePascals, now.Seconds);
                return looked && still;
            },
            "the gas stands still");
        return ToldUnconfirmed(bench);
    }

    private static bool ToldUnconfirmed(FaultBench bench) =>
        bench.Seen is { Bench: { Depressurised: false, Phase: GuardPhase.Tripped or GuardPhase.Stopping } }
        || bench.AllTelling().Contains("NOT confirmed", StringComparison.Ordinal)
        || bench.AllTelling().Contains("could NOT be confirmed", StringComparison.Ordinal);

    /// <summary>Heals everything, stops everything in an orderly way, and gathers what is left.</summary>
    private async Task<FaultRun> EndAsync(FaultBench bench, double faultAt, bool told)
    {
        bench.Bench.Fault("fault clear");
        await bench.UntilVentedAsync();
        Finished? guard = null;
        if (bench.Guard is { HasExited: false } living)
            living.Signal(ChildProgram.Terminate);
        if (bench.Guard is { } ending)
            guard = await ending.EndAsync();
        Finished? sweep = await bench.SweepEndAsync();
        List<TrueMoment> truth = RunningBench.Truth(bench.Bench.TruthPath);
        (List<JournalEntry> journal, JournalFault? fault) = ReadJournal(bench.Journals, TearsJournal || guard is null);
        ReplayResult replay = JournalReplay.Run(journal);
        return new FaultRun(Name, GasStays, truth, faultAt, told, bench.AllowedPascals, journal, fault, replay, bench.AllTelling(), guard, sweep);
    }

    public static (List<JournalEntry> Entries, JournalFault? Fault) ReadJournal(string folder, bool tornTailIsFair)
    {
        List<JournalEntry> entries = [];
        JournalHead head = JournalHead.Genesis;
        foreach (string path in Directory.GetFiles(folder, "journal-*.jsonl").Order(StringComparer.Ordinal))
        {
            using FileStream file = File.OpenRead(path);
            var reader = new JournalReader(file, head);
            entries.AddRange(reader.ReadAll());
            if (reader.Fault is { } fault && !(tornTailIsFair && fault.Kind == JournalFaultKind.TornTail))
                return (entries, fault);
            head = reader.Head;
        }

        return (entries, null);
    }
}
