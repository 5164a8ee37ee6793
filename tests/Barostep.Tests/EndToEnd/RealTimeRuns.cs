using Barostep.Evaluation;
using Barostep.Records;

namespace Barostep.Tests.EndToEnd;

/// <summary>A run through pseudo-terminals, after its end.</summary>
internal sealed record EndedRun(Finished Program, RunResult Result, List<TrueMoment> Truth)
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

    private readonly Lazy<Task<EndedRun>[]> underPressure = new(() =>
    [
        DemoAsync(interrupt: false),
        DemoAsync(interrupt: true),
        SilentAsync("multimeter"),
        SilentAsync("reference"),
        SilentAsync("controller"),
    ]);

    private readonly Lazy<Task<EndedRun>[]> unusable = new(() =>
    [
        UnusableAsync(portsExist: false),
        UnusableAsync(fault: "fault reference garble on"),
        UnusableAsync(fault: "fault ports swap multimeter controller", oneSpeed: true),
    ]);

    internal Task<EndedRun> UndisturbedAsync() => underPressure.Value[0];

    internal Task<EndedRun> InterruptedAsync() => underPressure.Value[1];

    internal Task<EndedRun> SilentMultimeterAsync() => underPressure.Value[2];

    internal Task<EndedRun> SilentReferenceAsync() => underPressure.Value[3];

    internal Task<EndedRun> SilentControllerAsync() => underPressure.Value[4];

    internal Task<EndedRun> MissingPortsAsync() => unusable.Value[0];

    internal Task<EndedRun> GarbledReferenceAsync() => unusable.Value[1];

    internal Task<EndedRun> SwappedPortsAsync() => unusable.Value[2];

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
            await sweep.UntilAsync(() => RunningBench.PressureNow(truth) > Pressurised);
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

    private static ChildProgram Sweep(Workshop workshop, string ports) => ChildProgram.Start(
        Programs.Daemon,
        workshop.Folder,
        "sweep", "--bench", "demo", "--device", "transmitter-16bar", "--procedure", "quick",
        "--ports", ports, "--config", workshop.Config, "--out", workshop.In("out"));

    private static EndedRun Read(Finished ended, Workshop workshop, string truth)
    {
        using FileStream file = File.OpenRead(Path.Combine(workshop.In("out"), "run.json"));
        return new EndedRun(ended, RunEvaluation.Evaluate(RunJson.Read(file)), RunningBench.Truth(truth));
    }
}
