using Barostep.Safety;

namespace Barostep.Tests.Faults;

/// <summary>The faults that are tried on the real programs.</summary>
internal static class FaultCases
{
    /// <summary>Longer than every limit on time of the guard and of the relay, s.</summary>
    private const double LongPauseSeconds = 3;

    public static readonly FaultCase GuardKilled = new("the guard is killed", KillGuard);
    public static readonly FaultCase GuardKilledHigh = new("the guard is killed close below the ceiling", KillGuard) { Begin = FaultCase.High };
    public static readonly FaultCase SweepKilled = new("the sweep is killed", bench => bench.KillSweepAsync());
    public static readonly FaultCase BothKilled = new("guard and sweep are killed and the journal is torn", KillBoth);
    public static readonly FaultCase StartUnderPressure = new("a guard starts under pressure", StartAgainUnderPressure) { Begin = FaultCase.Top, HasItsInstant = true };

    public static readonly FaultCase GuardPaused = new("the guard is paused", PauseGuard);
    public static readonly FaultCase SweepPaused = new("the sweep is paused", PauseSweep);

    public static readonly FaultCase SweepStoppedAtZero = new("the sweep is told to stop before any pressure", StopSweep) { Begin = FaultCase.AtZero, HasItsInstant = true };
    public static readonly FaultCase SweepStoppedHolding = new("the sweep is told to stop at a point", StopSweep) { Begin = FaultCase.Holding };
    public static readonly FaultCase SweepStoppedTwice = new("the sweep is told to stop twice", StopSweepTwice);
    public static readonly FaultCase GuardStopped = new("the guard is told to stop", StopGuard) { Begin = FaultCase.Falling };
    public static readonly FaultCase GuardStoppedTwice = new("the guard is told to stop twice", StopGuardTwice);
    public static readonly FaultCase GuardStoppedThenKilled = new("the guard is told to stop and killed a second later", StopGuardThenKill) { Begin = FaultCase.High };

    public static readonly FaultCase ReferenceGarbage = Line("reference garbage 2000");
    public static readonly FaultCase ControllerGarbage = Line("controller garbage 2000");
    public static readonly FaultCase ReferenceSilent = Line("reference silence on");
    public static readonly FaultCase ControllerSilent = Line("controller silence on");
    public static readonly FaultCase ReferenceTruncated = Line("reference truncate on");
    public static readonly FaultCase ReferenceSlow = Line("reference delay 1500");
    public static readonly FaultCase ReferenceOneBehind = Line("reference late on");
    public static readonly FaultCase ReferenceRestarted = Line("reference restart");
    public static readonly FaultCase ControllerRestarted = Line("controller restart");
    public static readonly FaultCase Swapped = Line("ports swap reference controller") with { GasStays = true };
    public static readonly FaultCase SwappedAtOneSpeed = Line("ports swap multimeter controller") with { OneSpeed = true, GasStays = true };
    public static readonly FaultCase ReferenceReplugged = new("the reference is unplugged and plugged in again", bench => Replug(bench, "reference"));
    public static readonly FaultCase ControllerReplugged = new("the controller is unplugged and plugged in again", bench => Replug(bench, "controller"));
    public static readonly FaultCase ReferenceReplaced = new("another reference is plugged in", ReplaceReference);
    public static readonly FaultCase RelayUnplugged = Line("dump disconnect");
    public static readonly FaultCase RelayMissing = new("a run begins without the relay", StartWithoutRelay) { Begin = FaultCase.AtRest, WithoutRun = true, HasItsInstant = true };

    public static readonly FaultCase ReferenceFrozen = Line("reference sensor freeze on", FaultCase.RisingHigh);
    public static readonly FaultCase ReferenceLow = Line("reference sensor gain 0.9", FaultCase.Holding);
    public static readonly FaultCase ControllerLow = Line("controller sensor gain 0.9", FaultCase.High);
    public static readonly FaultCase ReferenceUnit = Line("reference unit psi");
    public static readonly FaultCase ControllerUnit = Line("controller unit kPa");
    public static readonly FaultCase FillStuck = new("the fill stays open", StopWithFillStuck) { GasStays = true };
    public static readonly FaultCase FillStuckAtRest = Line("plant fill stuck 1", FaultCase.AtRest) with { GasStays = true, WithoutRun = true, HasItsInstant = true };
    public static readonly FaultCase VentStuck = new("the vent stays shut", StopWithVentStuck);
    public static readonly FaultCase SupplyLost = Line("plant supply 0 bar gauge");

    public static readonly FaultCase DiskFull = new("the journal's disk is full", SmallDisk.FillAsync) { Wrapper = SmallDisk.Wrapper, TearsJournal = true };
    public static readonly FaultCase Starved = new("the machine is busy", Starve);

    /// <summary>Every fault.</summary>
    public static readonly FaultCase[] All =
    [
        GuardKilled, GuardKilledHigh, SweepKilled, BothKilled, StartUnderPressure, GuardPaused, SweepPaused, SweepStoppedAtZero,
        SweepStoppedHolding, SweepStoppedTwice, GuardStopped, GuardStoppedTwice, GuardStoppedThenKilled, ReferenceGarbage,
        ControllerGarbage, ReferenceSilent, ControllerSilent, ReferenceTruncated, ReferenceSlow, ReferenceOneBehind,
        ReferenceRestarted, ControllerRestarted, Swapped, SwappedAtOneSpeed, ReferenceReplugged, ControllerReplugged,
        ReferenceReplaced, RelayUnplugged, RelayMissing, ReferenceFrozen, ReferenceLow, ControllerLow, ReferenceUnit,
        ControllerUnit, FillStuck, FillStuckAtRest, VentStuck, SupplyLost, DiskFull, Starved,
    ];

    /// <summary>What would disturb others.</summary>
    public static bool IsAlone(FaultCase one) => one == Starved;

    /// <summary>What is tried in a way of its own.</summary>
    public static readonly Func<Task>[] Scripts =
    [
        SecondProgramScripts.A_second_guard_of_a_bench_is_refused_and_the_first_guards_on,
        SecondProgramScripts.A_guard_with_another_state_folder_cannot_have_the_ports_and_names_who_holds_them,
        SecondProgramScripts.A_sweep_that_had_started_its_guard_itself_is_killed_and_the_guard_vents_and_ends,
        SecondProgramScripts.What_was_done_on_a_simulated_bench_is_marked_in_the_journal_and_in_the_record,
        SecondProgramScripts.A_run_that_takes_its_instruments_for_real_gets_no_pressure_from_a_simulated_bench,
        CrowdScripts.A_vent_is_honoured_in_the_middle_of_garbage_floods_and_idle_crowds,
        CrowdScripts.Who_connects_and_says_nothing_keeps_no_place_from_others,
        CrowdScripts.A_guard_that_ran_out_of_descriptors_goes_on_guarding_and_hears_a_vent_when_it_has_some_again,
        CrowdScripts.Of_two_clients_only_one_gets_pressure_and_both_can_vent_and_lower_the_ceiling,
        CrowdScripts.Random_interleavings_of_two_clients_wishes_leave_one_writer_and_every_vent_honoured,
    ];

    private static FaultCase Line(string fault, Func<FaultBench, Task>? begin = null) => new(fault, bench =>
    {
        bench.Fault(fault);
        return Task.CompletedTask;
    })
    {
        Begin = begin ?? FaultCase.Rising,
    };

    /// <summary>And looks what the next start of a guard makes of it.</summary>
    private static async Task KillGuard(FaultBench bench)
    {
        await bench.KillGuardAsync();
        await bench.UntilVentedAsync();
        await bench.SweepEndAsync();
        await bench.StartGuardAsync();
        await bench.UntilPhaseAsync(GuardPhase.Tripped);
    }

    private static async Task KillBoth(FaultBench bench)
    {
        await Task.WhenAll(bench.KillGuardAsync(), bench.KillSweepAsync());
        // The source regulates on, against the open dump valve: the gas is not quite at the atmosphere.
        await bench.UntilAsync(() => bench.Now is { DumpOpening: >= 1, BarGauge: < 0.2 }, "the dump valve has let the gas go");
        // The reserve for a full disk lies beside the journals.
        Tear(Directory.GetFiles(bench.Journals, "journal-*").Order(StringComparer.Ordinal).Last(), bench.Random);
        await bench.StartGuardAsync();
        await bench.UntilPhaseAsync(GuardPhase.Tripped);
    }

    /// <summary>Cuts a journal within its last 64 KiB, but not before what had to be on the disk: the last raise.</summary>
    private static void Tear(string path, Random random)
    {
        using var file = new FileStream(path, FileMode.Open, FileAccess.ReadWrite);
        List<JournalEntry> entries = [.. new JournalReader(file, JournalHead.Genesis).ReadAll()];
        int raise = entries.FindLastIndex(entry => entry.Kind == JournalKind.Raise);
        long least = Math.Max(entries[raise + 1].Offset, file.Length - (64 << 10));
        // Not at the end of an entry: the tail is to be torn.
        long cut = random.NextInt64(least + 1, file.Length - 1);
        while (entries.Exists(entry => entry.Offset == cut))
            cut++;
        file.SetLength(cut);
    }

    private static async Task StartAgainUnderPressure(FaultBench bench)
    {
        // Without this the relay would have vented the bench before the next guard could.
        bench.Fault("plant dump stuck 0");
        await Task.WhenAll(bench.KillGuardAsync(), bench.KillSweepAsync());
        await bench.PassAsync(1);
        Assert.True(bench.Now.BarGauge > 5, "the bench lost its pressure by itself");
        await bench.StartGuardAsync();
        await bench.UntilPhaseAsync(GuardPhase.Tripped);
    }

    private static async Task PauseGuard(FaultBench bench)
    {
        bench.Guard!.Signal(ChildProgram.Pause);
        await bench.PassAsync(LongPauseSeconds);
        bench.Guard.Signal(ChildProgram.GoOn);
        await bench.UntilPhaseAsync(GuardPhase.Tripped);
    }

    private static async Task PauseSweep(FaultBench bench)
    {
        bench.Sweep!.Signal(ChildProgram.Pause);
        await bench.PassAsync(LongPauseSeconds);
        bench.Sweep.Signal(ChildProgram.GoOn);
        await bench.SweepEndAsync();
    }

    private static async Task StopSweep(FaultBench bench)
    {
        bench.Sweep!.Signal(ChildProgram.Terminate);
        await bench.SweepEndAsync();
    }

    private static async Task StopSweepTwice(FaultBench bench)
    {
        bench.Sweep!.Signal(ChildProgram.Terminate);
        await bench.PassAsync(0.2);
        bench.Sweep.Signal(ChildProgram.Terminate);
        await bench.SweepEndAsync();
    }

    private static async Task StopGuard(FaultBench bench)
    {
        bench.Guard!.Signal(ChildProgram.Terminate);
        await bench.Guard.EndAsync();
        await bench.SweepEndAsync();
    }

    private static async Task StopGuardTwice(FaultBench bench)
    {
        bench.Guard!.Signal(ChildProgram.Terminate);
        await bench.PassAsync(0.2);
        bench.Guard.Signal(ChildProgram.Terminate);
        await bench.Guard.EndAsync();
        await bench.SweepEndAsync();
    }

    private static async Task StopGuardThenKill(FaultBench bench)
    {
        bench.Guard!.Signal(ChildProgram.Terminate);
        await bench.PassAsync(1);
        await bench.KillGuardAsync();
        await bench.SweepEndAsync();
    }

    private static async Task Replug(FaultBench bench, string port)
    {
        bench.Fault($"{port} disconnect");
        await bench.UntilPhaseAsync(GuardPhase.Tripped);
        await bench.UntilAsync(() => bench.Now.BarGauge < 0.5, "the gas is nearly gone");
        bench.Fault($"{port} reconnect");
    }

    private static async Task ReplaceReference(FaultBench bench)
    {
        bench.Fault("reference disconnect");
        bench.Fault("reference serial SI-09999");
        bench.Fault("reference reconnect");
        await bench.UntilAsync(() => bench.AllTelling().Contains("SI-09999", StringComparison.Ordinal), "the other reference is noticed");
        await bench.UntilVentedAsync();
        // The right one back: it tells pressure again, and that is all.
        bench.Fault("reference disconnect");
        bench.Fault("reference serial SI-02077");
        bench.Fault("reference reconnect");
        await bench.UntilAsync(() => bench.Seen is { Bench: { LineFault: null, Reference.IsGood: true } }, "the right reference is read again");
    }

    private static async Task StartWithoutRelay(FaultBench bench)
    {
        bench.Fault("dump disconnect");
        bench.StartSweep();
        await bench.SweepEndAsync();
    }

    private static async Task StopWithFillStuck(FaultBench bench)
    {
        bench.Fault("plant fill stuck 1");
        // A source that regulates can bleed off as much as the fill lets in: it shows when the gas is to go.
        bench.Sweep!.Signal(ChildProgram.Interrupt);
        await bench.UntilPhaseAsync(GuardPhase.Tripped);
    }

    private static async Task StopWithVentStuck(FaultBench bench)
    {
        bench.Fault("plant vent stuck 0");
        bench.Sweep!.Signal(ChildProgram.Interrupt);
        await bench.UntilPhaseAsync(GuardPhase.Tripped);
    }

    private static async Task Starve(FaultBench bench)
    {
        ChildProgram[] busy = [.. Enumerable.Range(0, 4).Select(_ => BusyProcess.Start(bench.Workshop.Folder))];
        await bench.PassAsync(5);
        Array.ForEach(busy, one => one.Dispose());
    }
}
