using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Tests.Faults;

/// <summary>More than one program for one bench, and simulated benches beside real ones.</summary>
internal static class SecondProgramScripts
{
    public static async Task A_second_guard_of_a_bench_is_refused_and_the_first_guards_on()
    {
        using FaultBench bench = await FaultBench.StartAsync();
        await bench.StartGuardAsync();
        using ChildProgram second = ChildProgram.Start(Programs.Guard, bench.Workshop.Folder, bench.GuardArguments());
        Finished refused = await second.EndAsync();

        Assert.Equal(2, refused.ExitCode);
        Assert.Contains(bench.State, refused.Error, StringComparison.Ordinal);
        Assert.DoesNotContain("   at ", refused.Error, StringComparison.Ordinal);
        await bench.UntilPhaseAsync(GuardPhase.Safe);
        await StopAsync(bench);
    }

    public static async Task A_guard_with_another_state_folder_cannot_have_the_ports_and_names_who_holds_them()
    {
        using FaultBench bench = await FaultBench.StartAsync();
        await bench.StartGuardAsync();
        await bench.UntilPhaseAsync(GuardPhase.Safe);
        using ChildProgram second = ChildProgram.Start(
            Programs.Guard, bench.Workshop.Folder, "--bench", "demo", "--config", bench.Workshop.Config, "--state", bench.Workshop.In("other"), "--ports", bench.Bench.Ports);

        await second.UntilAsync(() => second.Error.Contains($"is held by process {bench.Guard!.Id}", StringComparison.Ordinal));

        second.Kill();
        await bench.UntilPhaseAsync(GuardPhase.Safe);
        await StopAsync(bench);
    }

    public static async Task A_sweep_that_had_started_its_guard_itself_is_killed_and_the_guard_vents_and_ends()
    {
        using FaultBench bench = await new FaultCase("none", _ => Task.CompletedTask) { WithoutGuard = true }.ReachAsync(1);
        await bench.KillSweepAsync();

        await bench.UntilAsync(() => LastEntry(bench) is StopPayload, "the guard has stopped");

        Assert.Equal(new StopPayload("the guard was stopped", VentConfirmed: true), LastEntry(bench));
        await bench.UntilVentedAsync();
    }

    public static async Task What_was_done_on_a_simulated_bench_is_marked_in_the_journal_and_in_the_record()
    {
        var withFiles = new FaultCase("none", _ => Task.CompletedTask)
        {
            Begin = bench => bench.UntilAboveAsync(0.5),
            SweepArguments = bench => ["--out", bench.Workshop.In("out")],
        };
        using FaultBench bench = await withFiles.ReachAsync(1);
        bench.Sweep!.Signal(ChildProgram.Interrupt);
        await bench.SweepEndAsync();
        await StopAsync(bench);

        (List<JournalEntry> journal, _) = FaultCase.ReadJournal(bench.Journals, tornTailIsFair: false);
        Assert.True(Assert.IsType<OpenPayload>(journal[0].ReadPayload()).Simulated);
        RunRecord record = RunJson.Read(new MemoryStream(await File.ReadAllBytesAsync(bench.Workshop.In("out/run.json"))));
        Assert.True(record.Simulated);
    }

    public static async Task A_run_that_takes_its_instruments_for_real_gets_no_pressure_from_a_simulated_bench()
    {
        using FaultBench bench = await FaultBench.StartAsync();
        await bench.StartGuardAsync();
        await bench.UntilPhaseAsync(GuardPhase.Safe);
        using ChildProgram sweep = bench.StartDaemon(
            "sweep", "--bench", "demo", "--device", FaultBench.Device, "--procedure", "climb", "--config", bench.Workshop.Config, "--state", bench.State);
        Finished ended = await sweep.EndAsync();

        Assert.True(ended.ExitCode == 2, $"{ended.ExitCode}: {ended.Error}");
        Assert.Contains("simulated", ended.Error, StringComparison.Ordinal);
        Assert.All(RunningBench.Truth(bench.Bench.TruthPath), moment => Assert.InRange(moment.BarGauge, -0.05, 0.05));
        await StopAsync(bench);
    }

    private static JournalPayload? LastEntry(FaultBench bench)
    {
        (List<JournalEntry> entries, _) = FaultCase.ReadJournal(bench.Journals, tornTailIsFair: true);
        return entries.Count == 0 || entries[^1].Kind == JournalKind.Tick ? null : entries[^1].ReadPayload();
    }

    private static async Task StopAsync(FaultBench bench)
    {
        bench.Guard!.Signal(ChildProgram.Terminate);
        Assert.Equal(0, (await bench.Guard.EndAsync()).ExitCode);
    }
}
