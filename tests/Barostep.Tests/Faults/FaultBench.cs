using Barostep.Lines.GuardLine;
using Barostep.Safety;
using Barostep.Simulators;

namespace Barostep.Tests.Faults;

/// <summary>A run came to its end before the fault that was to meet it.</summary>
internal sealed class RunOverException(string message) : Exception(message);

/// <summary>The simulated bench, its guard and a sweep, each a real process, and what is done to them.</summary>
internal sealed class FaultBench : IDisposable
{
    public const string Device = "transmitter-16bar";

    /// <summary>As in the workshop's bench file, Pa gauge. Low, so that the way there is short and what lies above it shows.</summary>
    public const double CeilingGaugePascals = 600_000;

    private const double LatenessSeconds = 1;

    /// <summary>Up to below the ceiling in two steps and back, no longer at each than it takes to see the gas at rest.</summary>
    private const string Climb = """
        title = "Two steps up and down"
        points_of_span = ["0 %", "44 %", "99 %"]
        descending = true
        cycles = 1
        preloads = 0
        preload_hold = "1 s"
        read_zero = true
        rate = "6.4 % of span/s"
        samples = 3
        sample_interval = "100 ms"

        [settle]
        band = "1 % of span"
        window = "500 ms"
        slope = "0.3 % of span/s"
        min_dwell = "1500 ms"
        timeout = "60 s"
        on_timeout = "flag"

        [overshoot]
        limit = "2 % of span"
        action = "flag"

        """;

    private readonly BenchDescription _simulated;
    private GuardClient? _watcher;

    private FaultBench(Workshop workshop, RunningBench bench, BenchDescription simulated, int seed)
    {
        Random = new Random(seed);
        Workshop = workshop;
        Bench = bench;
        _simulated = simulated;
    }

    public Workshop Workshop { get; }

    /// <summary>For what a fault leaves to chance.</summary>
    public Random Random { get; }

    public RunningBench Bench { get; }

    public string State => Workshop.In("state");

    public string Journals => Path.Combine(State, "journals", "demo");

    /// <summary>The newest guard; null while there is none.</summary>
    public ChildProgram? Guard { get; private set; }

    public ChildProgram? Sweep { get; private set; }

    /// <summary>What every program that was started here has told people.</summary>
    public string Telling { get; private set; } = string.Empty;

    public TrueMoment Now => RunningBench.Now(Bench.TruthPath) ?? default;

    /// <summary>What the guard told last; null while none listens.</summary>
    public SnapshotRecord? Seen
    {
        get
        {
            if (_watcher is not { IsConnected: true })
            {
                _watcher?.Dispose();
                _watcher = GuardClient.TryConnect(Socket, new HelloRecord(ClientRole.Watcher, "demo"));
            }

            return _watcher?.Snapshot;
        }
    }

    public string Socket => GuardSocket.PathOf(State, "demo");

    /// <summary>The worst case of this bench, Pa absolute.</summary>
    public double AllowedPascals =>
        WorstCase.Pascals(_simulated.Plant, _simulated.Plant.AtmospherePa + CeilingGaugePascals, LatenessSeconds);

    /// <summary>Starts the simulated bench alone.</summary>
    /// <param name="seed">Of <see cref="Random"/>.</param>
    /// <param name="oneSpeed">Whether all lines have one speed, so that a wrong instrument is not merely garbage.</param>
    public static async Task<FaultBench> StartAsync(int seed = 1, bool oneSpeed = false)
    {
        var workshop = new Workshop();
        workshop.Change("benches/demo.toml", "ceiling = \"17 bar gauge\"", "ceiling = \"6 bar gauge\"");
        // Slow enough for two sensors of different lag to agree on the way.
        workshop.Change("benches/demo.toml", "max_rate = \"0.5 bar/s\"", "max_rate = \"0.4 bar/s\"");
        // A device that ends below that ceiling.
        workshop.Change("devices/transmitter-16bar.toml", "range_to = \"16 bar gauge\"", "range_to = \"5.5 bar gauge\"");
        // A run that the workshop means to make must fit the bench.
        workshop.Change("barostep.toml", "procedure = \"eleven-point\"", "procedure = \"climb\"");
        if (oneSpeed)
            workshop.Change("benches/demo.toml", "port = \"controller\"", "port = \"controller\"\nbaud = 9600");
        File.WriteAllText(Path.Combine(workshop.Config, "procedures", "climb.toml"), Climb);
        string file = workshop.BenchFile("demo", ("\nto = \"16 bar gauge\"", "\nto = \"5.5 bar gauge\""));
        RunningBench bench = await RunningBench.StartAsync(workshop.In("bench"), file, oneSpeed ? ["--baud", "9600"] : []);
        return new FaultBench(workshop, bench, BenchFile.Load(file), seed);
    }

    public string[] GuardArguments(string? ports = null) =>
        ["--bench", "demo", "--config", Workshop.Config, "--state", State, "--ports", ports ?? Bench.Ports];

    /// <summary>Starts a guard, also after another has ended, and waits until it listens.</summary>
    public async Task StartGuardAsync(params string[] wrapper)
    {
        Keep(Guard);
        // Without the option it would outlive a test run that is broken off.
        Guard = ChildProgram.StartUnder(wrapper, Programs.Guard, Workshop.Folder, [.. GuardArguments(), "--until-stdin-closes"]);
        await Guard.UntilAsync(() => Guard.Out.Contains("ready", StringComparison.Ordinal));
    }

    public void StartSweep(params string[] more) => Sweep = StartDaemon(
        [
            "sweep", "--bench", "demo", "--device", Device, "--procedure", "climb", "--config", Workshop.Config,
            "--state", State, "--ports", Bench.Ports, .. more,
        ]);

    public ChildProgram StartDaemon(params string[] arguments) => ChildProgram.Start(Programs.Daemon, Workshop.Folder, arguments);

    public void Fault(string line) => Bench.Fault($"fault {line}");

    /// <summary>Waits until something holds.</summary>
    public async Task UntilAsync(Func<bool> holds, string what)
    {
        using var patience = new CancellationTokenSource(TimeSpan.FromSeconds(90));
        while (!holds())
        {
            if (patience.IsCancellationRequested)
                throw new TimeoutException($"waited in vain until {what}; the gas is at {Now.BarGauge:F3} bar\n{AllTelling()}");
            await Task.Delay(40);
        }
    }

    /// <summary>Waits for a pressure on the way up of a run.</summary>
    public Task UntilAboveAsync(double barGauge) => UntilInRunAsync(() => Now.BarGauge > barGauge, $"the gas passes {barGauge} bar");

    /// <summary>Waits until something holds in a run that goes on.</summary>
    /// <exception cref="RunOverException">The run ended before.</exception>
    public async Task UntilInRunAsync(Func<bool> holds, string what)
    {
        await UntilAsync(() => holds() || RunIsOver, what);
        if (RunIsOver)
            throw new RunOverException($"the run was over before the fault began:\n{AllTelling()}");
    }

    public Task UntilVentedAsync()
    {
        double? since = null;
        return UntilAsync(
            () =>
            {
                TrueMoment now = Now;
                bool vented = Math.Abs(now.PressurePascals - now.AtmospherePascals) < FaultRun.VentedPascals;
                since = vented ? since ?? now.Seconds : null;
                return now.Seconds - since >= 0.5;
            },
            "the gas is at the atmosphere");
    }

    public Task UntilPhaseAsync(GuardPhase phase) => UntilAsync(() => Seen?.Bench.Phase == phase, $"the guard is in phase {phase}");

    public string AllTelling() => Telling + Told(Guard) + Told(Sweep);

    /// <summary>Waits for the sweep's end, if there is one that was not killed.</summary>
    public async Task<Finished?> SweepEndAsync() => Sweep is null ? null : await Sweep.EndAsync();

    public async Task KillSweepAsync()
    {
        Sweep!.Signal(ChildProgram.KillAtOnce);
        await Sweep.EndAsync();
        Keep(Sweep);
        Sweep = null;
    }

    public async Task KillGuardAsync()
    {
        Guard!.Signal(ChildProgram.KillAtOnce);
        await Guard.EndAsync();
        Keep(Guard);
        Guard = null;
    }

    /// <summary>Waits as long on the bench's own clock.</summary>
    public Task PassAsync(double seconds)
    {
        double until = Now.Seconds + seconds;
        return UntilAsync(() => Now.Seconds >= until, $"{seconds} s of the bench have passed");
    }

    public void Dispose()
    {
        _watcher?.Dispose();
        Sweep?.Dispose();
        Guard?.Dispose();
        Bench.Dispose();
        Workshop.Dispose();
    }

    private bool RunIsOver => Sweep is { HasExited: true } || Seen?.Bench.Phase is GuardPhase.Tripped or GuardPhase.Stopping;

    /// <summary>Keeps what a program has told so far.</summary>
    private void Keep(ChildProgram? program)
    {
        Telling += Told(program);
        program?.Dispose();
    }

    private static string Told(ChildProgram? program) => program is null ? string.Empty : program.Out + program.Error;
}
