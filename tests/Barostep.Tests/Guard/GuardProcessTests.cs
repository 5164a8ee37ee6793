using System.Globalization;
using System.Text.Json;
using Barostep.Evaluation;
using Barostep.Records;
using Barostep.Safety;
using Barostep.Tests.EndToEnd;

namespace Barostep.Tests.Guard;

/// <summary>The real guard, the real sequencer and the simulated bench, each in a process of its own.</summary>
[Collection(RealPrograms.Name)]
public sealed class GuardProcessTests : IAsyncLifetime, IDisposable
{
    private const int Stop = 19;
    private const int Continue = 18;

    /// <summary>Above the 169 kPa at which the dump valve is tested: a run, Pa absolute.</summary>
    private const double Pressurised = 190_000;

    /// <summary>Atmosphere and what sensors may be wrong by, Pa absolute.</summary>
    private const double Vented = 102_500;

    private readonly Workshop _workshop = new();
    private RunningBench _bench = null!;

    public async Task InitializeAsync() => _bench = await RunningBench.StartAsync(_workshop.In("bench"));

    public Task DisposeAsync() => Task.CompletedTask;

    public void Dispose()
    {
        _bench.Dispose();
        _workshop.Dispose();
    }

    [Fact]
    [Trait("SR", "33, 36, 38")]
    public async Task A_killed_guard_leaves_a_bench_that_vents_by_itself_and_a_start_that_is_latched()
    {
        using (ChildProgram guard = await GuardAsync())
        {
            using ChildProgram sweep = Sweep();
            await sweep.UntilAsync(() => Pressure > Pressurised);
            guard.Kill();
            Finished ended = await sweep.EndAsync();

            Assert.Equal(4, ended.ExitCode);
            Assert.Contains("the guard has ended", ended.Error, StringComparison.Ordinal);
            Assert.InRange(Pressure, 99_000, Vented);
            RunRecord record = RunJson.Read(new MemoryStream(await File.ReadAllBytesAsync(_workshop.In("out/run.json"))));
            Assert.Equal((RunOutcome.InstrumentFailure, true), (record.Outcome, record.VentConfirmed));
        }

        using ChildProgram next = await GuardAsync();
        await next.UntilAsync(() => next.Error.Contains("phase Tripped", StringComparison.Ordinal));
        uint trip = (await StatusAsync("Tripped")).GetProperty("trip_number").GetUInt32();
        Finished wrong = await CommandAsync("acknowledge", "--trip", $"{trip + 1}", "--who", "Ines Quandt", "--why", "guard killed in a test");
        Assert.Equal(2, wrong.ExitCode);
        Finished right = await CommandAsync("acknowledge", "--trip", $"{trip}", "--who", "Ines Quandt", "--why", "guard killed in a test");
        Assert.True(right.ExitCode == 0, right.Error);
        await StatusAsync("Safe");
        next.Signal(ChildProgram.Terminate);
        Assert.Equal(0, (await next.EndAsync()).ExitCode);
    }

    [Fact]
    [Trait("SR", "33, 36")]
    public async Task A_killed_sequencer_has_its_bench_vented_and_nobody_else_could_have_joined_it()
    {
        using ChildProgram guard = await GuardAsync();
        using (ChildProgram sweep = Sweep())
        {
            await sweep.UntilAsync(() => Pressure > Pressurised);
            using ChildProgram second = Sweep("--out", _workshop.In("second"));
            Finished refused = await second.EndAsync();
            Assert.Equal(2, refused.ExitCode);
            Assert.Contains("another program runs this bench", refused.Error, StringComparison.Ordinal);
            sweep.Kill();
            await sweep.EndAsync();
        }

        await guard.UntilAsync(() => Pressure < Vented);
        Assert.Contains("IntentLapsed", guard.Error, StringComparison.Ordinal);
        guard.Signal(ChildProgram.Terminate);
        Assert.Equal(0, (await guard.EndAsync()).ExitCode);
    }

    [Fact]
    public async Task A_guard_that_was_stopped_finds_its_relay_open_and_gives_no_late_command()
    {
        using ChildProgram guard = await GuardAsync();
        using ChildProgram sweep = Sweep();
        await sweep.UntilAsync(() => Pressure > Pressurised);
        int before = DumpOpenings().Count;

        guard.Signal(Stop);
        await sweep.UntilAsync(() => DumpOpenings() is [.., 1] && Pressure < Pressurised);
        Finished ended = await sweep.EndAsync();
        guard.Signal(Continue);
        await guard.UntilAsync(() => guard.Error.Contains("phase Tripped", StringComparison.Ordinal));
        await guard.UntilAsync(() => Pressure < Vented);

        Assert.Equal(4, ended.ExitCode);
        List<double> openings = DumpOpenings()[before..];
        int opened = openings.FindIndex(opening => opening > 0);
        Assert.True(opened >= 0);
        // Once open it only opens further: nothing shuts it again.
        Assert.Equal(openings[opened..].Order(), openings[opened..]);
        guard.Signal(ChildProgram.Terminate);
        Assert.Equal(0, (await guard.EndAsync()).ExitCode);
    }

    [Fact]
    [Trait("SR", "33, 45")]
    public async Task A_vent_asked_for_from_outside_ends_the_run()
    {
        using ChildProgram guard = await GuardAsync();
        using ChildProgram sweep = Sweep();
        await sweep.UntilAsync(() => Pressure > Pressurised);
        // What certificates need lies beside the guard, and is never loaded by it.
        string loaded = await File.ReadAllTextAsync($"/proc/{guard.Id}/maps");
        Assert.Contains("Barostep.Safety.dll", loaded, StringComparison.Ordinal);
        Assert.All(
            ["AspNetCore", "System.Net.Http", "Serilog", "Logging", "PdfSharp", "Sqlite"],
            library => Assert.DoesNotContain(library, loaded, StringComparison.OrdinalIgnoreCase));

        Finished vent = await CommandAsync("vent");

        Assert.True(vent.ExitCode == 0, vent.Error);
        Assert.Equal(130, (await sweep.EndAsync()).ExitCode);
        Assert.InRange(Pressure, 99_000, Vented);
        guard.Signal(ChildProgram.Terminate);
        Assert.Equal(0, (await guard.EndAsync()).ExitCode);
    }

    [Fact]
    [Trait("SR", "34")]
    public async Task A_dump_valve_that_stays_shut_refuses_the_run_before_more_pressure_than_its_test_needs()
    {
        _bench.Fault("fault plant dump stuck 0");
        using ChildProgram sweep = Sweep();
        Finished ended = await sweep.EndAsync();

        Assert.True(ended.ExitCode == 2, ended.Error + ended.Out);
        Assert.Contains("dump valve did not take the pressure away", ended.Error + ended.Out, StringComparison.Ordinal);
        Assert.InRange(Pressure, 99_000, Vented);
        // 5 % of the 17 bar up to the ceiling, above the 1009 hPa around the bench.
        Assert.InRange(RunningBench.Truth(_bench.TruthPath).Max(moment => moment.PressurePascals), 130_000, 100_940 + 85_000);
    }

    private double Pressure => RunningBench.PressureNow(_bench.TruthPath);

    private List<double> DumpOpenings()
    {
        using var file = new StreamReader(new FileStream(_bench.TruthPath, FileMode.Open, FileAccess.Read, FileShare.ReadWrite));
        string[] lines = file.ReadToEnd().Split('\n');
        int column = Array.IndexOf(lines[0].Split(','), "dump_opening");
        return [.. lines[1..^1].Select(line => double.Parse(line.Split(',')[column], CultureInfo.InvariantCulture))];
    }

    private async Task<ChildProgram> GuardAsync()
    {
        ChildProgram guard = ChildProgram.Start(
            Programs.Guard,
            _workshop.Folder,
            "--bench", "demo", "--config", _workshop.Config, "--state", _workshop.In("state"), "--ports", _bench.Ports);
        await guard.UntilAsync(() => guard.Out.Contains("ready", StringComparison.Ordinal));
        return guard;
    }

    private ChildProgram Sweep(params string[] more) => ChildProgram.Start(
        Programs.Daemon,
        _workshop.Folder,
        [
            "sweep", "--bench", "demo", "--device", "transmitter-16bar", "--procedure", "quick", "--ports", _bench.Ports,
            "--config", _workshop.Config, .. more.Length > 0 ? more : ["--out", _workshop.In("out")],
        ]);

    private Task<Finished> CommandAsync(string command, params string[] more) => ChildProgram.RunAsync(
        _workshop.Folder, [command, "--bench", "demo", "--config", _workshop.Config, "--state", _workshop.In("state"), .. more]);

    /// <summary>Asks for the status until the guard's phase is the one given.</summary>
    private async Task<JsonElement> StatusAsync(string phase)
    {
        string last = string.Empty;
        for (int i = 0; i < 60; i++)
        {
            Finished status = await CommandAsync("status", "--json");
            last = status.Out + status.Error;
            JsonElement bench = JsonDocument.Parse(status.Out).RootElement[0];
            if (bench.GetProperty("phase").GetString() == phase && (phase != "Tripped" || bench.GetProperty("depressurised").GetBoolean()))
                return bench;
        }

        throw new TimeoutException($"the guard did not come to phase {phase}; last it was {last}");
    }
}
