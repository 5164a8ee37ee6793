using System.Text.RegularExpressions;
using Barostep.Safety;

namespace Barostep.Tests.EndToEnd;

[Collection(RealPrograms.Name)]
public sealed class ServeTests : IDisposable
{
    private readonly Workshop _workshop = new();

    public void Dispose() => _workshop.Dispose();

    [Fact]
    public async Task The_daemon_watches_a_bench_safe_and_a_terminate_ends_it_with_an_orderly_stop()
    {
        using RunningBench bench = await RunningBench.StartAsync(_workshop.In("bench"));
        using ChildProgram daemon = Serve(bench);
        await daemon.UntilAsync(() => daemon.Error.Contains("Bench demo: Safe", StringComparison.Ordinal));
        daemon.Signal(ChildProgram.Terminate);

        Assert.Equal(0, (await daemon.EndAsync()).ExitCode);
        Assert.Contains("vent confirmed", daemon.Error, StringComparison.Ordinal);
        List<JournalEntry> journal = Journal("000001", JournalHead.Genesis);
        Assert.Equal(new StopPayload("the guard was stopped", VentConfirmed: true), journal[^1].ReadPayload());
        Assert.DoesNotContain(journal, entry => entry.Kind is JournalKind.Raise or JournalKind.Trip);
        Assert.True(JournalReplay.Run(journal).IsComplete);
    }

    [Fact]
    public async Task A_second_daemon_on_the_same_state_is_refused_and_one_on_the_same_ports_says_who_holds_them()
    {
        using RunningBench bench = await RunningBench.StartAsync(_workshop.In("bench"));
        using ChildProgram first = Serve(bench);
        await first.UntilAsync(() => first.Error.Contains("Bench demo: Safe", StringComparison.Ordinal));

        using (ChildProgram second = Serve(bench))
        {
            Finished refused = await second.EndAsync();
            Assert.Equal(2, refused.ExitCode);
            Assert.Contains(_workshop.In("state"), refused.Error, StringComparison.Ordinal);
            Assert.DoesNotContain("   at ", refused.Error, StringComparison.Ordinal);
        }

        _workshop.Change("barostep.toml", "state_folder = \"state\"", "state_folder = \"other\"");
        using (ChildProgram third = Serve(bench))
        {
            await third.UntilAsync(() => third.Error.Contains("is held by process", StringComparison.Ordinal));
            third.Signal(ChildProgram.Interrupt);
            first.Signal(ChildProgram.Terminate);
            Assert.Equal(0, (await third.EndAsync()).ExitCode);
        }

        Assert.Equal(0, (await first.EndAsync()).ExitCode);
        Assert.Equal(JournalKind.Stop, Journal("000001", JournalHead.Genesis)[^1].Kind);
    }

    [Fact]
    [Trait("SR", "24, 32")]
    public async Task A_guard_outlives_a_killed_daemon_until_it_has_stopped_in_an_orderly_way()
    {
        using RunningBench bench = await RunningBench.StartAsync(_workshop.In("bench"));
        using (ChildProgram killed = Serve(bench))
        {
            await killed.UntilAsync(() => killed.Error.Contains("Bench demo: Safe", StringComparison.Ordinal));
            killed.Kill();
            await killed.EndAsync();
        }

        // The lock of the bench is free again when the guard has ended; until then a daemon finds the old one.
        using ChildProgram next = Serve(bench);
        await next.UntilAsync(() => File.Exists(_workshop.In("state/journals/demo/journal-000002.jsonl")));
        await next.UntilAsync(() => next.Error.Contains("Bench demo: Safe", StringComparison.Ordinal));
        next.Signal(ChildProgram.Terminate);
        Assert.Equal(0, (await next.EndAsync()).ExitCode);

        JournalEntry last = Journal("000001", JournalHead.Genesis)[^1];
        Assert.Equal(new StopPayload("the guard was stopped", VentConfirmed: true), last.ReadPayload());
        Assert.DoesNotContain(Journal("000002", last.Head), entry => entry.Kind == JournalKind.Trip);
    }

    private ChildProgram Serve(RunningBench bench) =>
        ChildProgram.Start(Programs.Daemon, _workshop.Folder, "serve", "--config", _workshop.Config, "--ports", bench.AllPorts);

    [Fact]
    [Trait("SR", "39")]
    public async Task A_guard_that_ends_three_times_stays_down_with_its_bench_vented()
    {
        using RunningBench bench = await RunningBench.StartAsync(_workshop.In("bench"));
        Directory.CreateDirectory(_workshop.In("state/journals/demo"));
        // What is no journal: every guard refuses to go on from it.
        await File.WriteAllTextAsync(_workshop.In("state/journals/demo/journal-000001.jsonl"), "no entry of a journal\n");
        using ChildProgram daemon = Serve(bench);
        await daemon.UntilAsync(() => daemon.Error.Contains("stays down", StringComparison.Ordinal));
        daemon.Signal(ChildProgram.Terminate);

        await daemon.EndAsync();
        Assert.Equal(3, Regex.Count(daemon.Error, "did not start: "));
        Assert.Equal(3, Regex.Count(daemon.Error, "vented without it, confirmed"));
        Assert.False(File.Exists(_workshop.In("state/journals/demo/journal-000002.jsonl")));
    }

    private List<JournalEntry> Journal(string number, JournalHead after)
    {
        using FileStream file = File.OpenRead(_workshop.In($"state/journals/demo/journal-{number}.jsonl"));
        var reader = new JournalReader(file, after);
        List<JournalEntry> entries = [.. reader.ReadAll()];
        Assert.Null(reader.Fault);
        return entries;
    }
}
