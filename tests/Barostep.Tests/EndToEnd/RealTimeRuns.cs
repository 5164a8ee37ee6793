using Barostep.Evaluation;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Tests.EndToEnd;

/// <summary>A run through pseudo-terminals, after its end.</summary>
/// <param name="Program">What it wrote.</param>
/// <param name="Result">From its run.json.</param>
/// <param name="Truth">Of the simulated gas.</param>
/// <param name="JournalFault">The first thing wrong with its journal; null where all is intact.</param>
/// <param name="Replay">Of its journal.</param>
internal sealed record EndedRun(
    Finished Program, RunResult Result, List<TrueMoment> Truth, JournalFault? JournalFault, ReplayResult Replay)
{
    public RunRecord Record => Result.Record;
}

/// <summary>
/// Runs in real time, made once for all tests. They wait for gas most of the time, so those of one kind run beside each
/// other; nothing is started before a test asks for it.
/// </summary>
public sealed class RealTimeRuns
{
    /// <summary>Well above what noise shows at rest, well below the first point above zero. Pa absolute.</summary>
    private const double Pressurised = 120_000;

    private readonly Lazy<Task<EndedRun>[]> _underPressure = new(() =>
    [
        DemoAsync(interrupt: false),
        DemoAsync(interrupt: true),
        SilentAsync("multimeter"),
        SilentAsync("reference"),
        SilentAsync("controller"),
    ]);

    private readonly Lazy<Task<EndedRun>[]> _unusable = new(() =>
    [
        UnusableAsync(portsExist: false),
        UnusableAsync(fault: "fault reference garble on"),
        UnusableAsync(fault: "fault ports swap multimeter controller", oneSpeed: true),
        HeldAsync(),
    ]);

    internal Task<EndedRun> UndisturbedAsync() => _underPressure.Value[0];

    internal Task<EndedRun> InterruptedAsync() => _underPressure.Value[1];

    internal Task<EndedRun> SilentMultimeterAsync() => _underPressure.Value[2];

    internal Task<EndedRun> SilentReferenceAsync() => _underPressure.Value[3];

    internal Task<EndedRun> SilentControllerAsync() => _underPressure.Value[4];

    internal Task<EndedRun> MissingPortsAsync() => _unusable.Value[0];

    internal Task<EndedRun> GarbledReferenceAsync() => _unusable.Value[1];

    internal Task<EndedRun> SwappedPortsAsync() => _unusable.Value[2];

    internal Task<EndedRun> HeldPortsAsync() => _unusable.Value[3];

    internal Task<EndedRun[]> AllAsync() => Task.WhenAll([.. _underPressure.Value, .. _unusable.Value]);

    private static async Task<EndedRun> DemoAsync(bool interrupt)
    {
        using var workshop = new Workshop();
        string truth = workshop.In("truth.csv");
        using ChildProgram demo = ChildProgram.Start(
            Programs.Daemon,
            workshop.Folder,
            "demo", "--real-time", "--procedure", "quick", "--config", workshop.Config, "--out", workshop.In("out"), "--truth", truth);
        if (interrupt)
        {
            await demo.UntilAsync(() => RunningBench.PressureNow(truth) > Pressurised);
            demo.Signal(ChildProgram.Interrupt);
        }

        return Read(await demo.EndAsync(), workshop, truth);
    }

    private static async Task<EndedRun> SilentAsync(string port)
    {
        using var workshop = new Workshop();
        string truth;
        Finished ended;
        using (RunningBench bench = await RunningBench.StartAsync(workshop.In("bench")))
        {
            truth = bench.TruthPath;
            using ChildProgram sweep = Sweep(workshop, bench.Ports);
            // The probe comes before the points, and a fault there would leave none to keep.
            await sweep.UntilAsync(() => sweep.Out.Contains(" 1 up", StringComparison.Ordinal) && RunningBench.PressureNow(truth) > Pressurised);
            bench.Fault($"fault {port} silence on");
            ended = await sweep.EndAsync();
        }

        return Read(ended, workshop, truth);
    }

    private static async Task<EndedRun> UnusableAsync(string fault = "", bool portsExist = true, bool oneSpeed = false)
    {
        using var workshop = new Workshop();
        string[] options = [];
        if (oneSpeed)
        {
            // At two speeds the wrong instrument would only be garbage.
            options = ["--baud", "9600"];
            workshop.Change("benches/demo.toml", "port = \"controller\"", "port = \"controller\"\nbaud = 9600");
        }

        string truth;
        Finished ended;
        using (RunningBench bench = await RunningBench.StartAsync(workshop.In("bench"), "demo", options))
        {
            truth = bench.TruthPath;
            bench.Fault(fault);
            using ChildProgram sweep = Sweep(workshop, portsExist ? bench.Ports : workshop.In("nowhere"));
            ended = await sweep.EndAsync();
        }

        return Read(ended, workshop, truth);
    }

    private static async Task<EndedRun> HeldAsync()
    {
        using var workshop = new Workshop();
        string truth;
        Finished ended;
        using (RunningBench bench = await RunningBench.StartAsync(workshop.In("bench")))
        {
            truth = bench.TruthPath;
            using ChildProgram daemon = ChildProgram.Start(
                Programs.Daemon, workshop.Folder, "serve", "--port", "0", "--config", workshop.Config, "--ports", bench.AllPorts);
            await daemon.UntilAsync(() => daemon.Error.Contains("Bench demo: Safe", StringComparison.Ordinal));
            // With the daemon's own state it would find the daemon's guard, and share the bench.
            using ChildProgram sweep = Sweep(workshop, bench.Ports, "--state", workshop.In("other"));
            ended = await sweep.EndAsync();
            daemon.Signal(ChildProgram.Terminate);
            await daemon.EndAsync();
        }

        return Read(ended, workshop, truth);
    }

    private static ChildProgram Sweep(Workshop workshop, string ports, params string[] more) => ChildProgram.Start(
        Programs.Daemon,
        workshop.Folder,
        [
            "sweep", "--bench", "demo", "--device", "transmitter-16bar", "--procedure", "quick",
            "--ports", ports, "--config", workshop.Config, "--out", workshop.In("out"), .. more,
        ]);

    private static EndedRun Read(Finished ended, Workshop workshop, string truth)
    {
        using FileStream file = File.OpenRead(workshop.In("out/run.json"));
        using FileStream journal = File.OpenRead(workshop.In("out/journal.jsonl"));
        var reader = new JournalReader(journal, JournalHead.Genesis);
        ReplayResult replay = JournalReplay.Run(reader.ReadAll());
        return new EndedRun(ended, RunEvaluation.Evaluate(RunJson.Read(file)), RunningBench.Truth(truth), reader.Fault, replay);
    }
}
