using System.CommandLine;
using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using Barostep.Configuration;
using Barostep.Daemon.Guards;
using Barostep.Daemon.Hosting;
using Barostep.Daemon.Output;
using Barostep.Daemon.Sweeps;
using Barostep.Procedures;
using Barostep.Procedures.Prompts;
using Barostep.Records;
using Barostep.Safety;
using Barostep.Simulators;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Serilog.Events;

namespace Barostep.Daemon.Commands;

/// <summary><c>demo</c> and <c>sweep</c>: one run in the foreground.</summary>
internal static class SweepCommands
{
    private const string UsualDemo = "demo";

    /// <summary>The benches that are demonstrated: what is calibrated on each, and how.</summary>
    private static readonly Dictionary<string, (string Device, string Procedure)> Demos = new(StringComparer.Ordinal)
    {
        [UsualDemo] = ("transmitter-16bar", "eleven-point"),
        ["gauge"] = ("gauge-10bar", "five-point"),
        ["pump"] = ("transmitter-16bar", "five-point"),
        ["manifold"] = ("gauge-compound,transmitter-6bar,switch-3bar", "compound-manifold"),
        ["hand"] = ("dial-gauge", "hand-five-point"),
    };

    public static Command Demo(CommandIo io)
    {
        Option<string?> config = Options.Config();
        Option<string?> output = Options.Out();
        Option<string?> state = new("--state") { Description = "folder of the records, to do a whole job in; without it they are in the --out folder" };
        Option<ulong> seed = new("--seed") { Description = "seed of the simulated noise; the same seed gives the same readings", DefaultValueFactory = _ => 1 };
        Option<bool> realTime = new("--real-time") { Description = "through real pseudo-terminals, against the simulator in its own process" };
        Option<string?> truth = new("--truth") { Description = "with --real-time: file for the true state of the simulated gas, as CSV" };
        Option<string> onBench = new("--bench") { Description = $"simulated bench: {string.Join(", ", Demos.Keys)}", DefaultValueFactory = _ => UsualDemo };
        Option<string?> procedure = new("--procedure") { Description = "procedure to run; without it the one that suits the bench" };
        Option<double?> zero = new("--zero-error") { Description = "error of the simulated transmitter at the lower range end, in % of span" };
        Option<double?> span = new("--span-error") { Description = "and by how much more it errs at the upper end" };
        Option<bool> json = Options.Json();
        var told = new SweepOptions();
        Command command = told.With(new Command("demo", "Calibrates a device on a simulated bench; no hardware is touched.")
        {
            onBench, output, state, seed, zero, span, realTime, truth, procedure, json, config,
        });
        command.SetAction(async (arguments, _) =>
        {
            string shipped = arguments.GetValue(config) ?? ConfigurationFolder.Shipped;
            WorkshopConfiguration workshop = ConfigurationFolder.Load(shipped);
            string? records = arguments.GetValue(state);
            string name = arguments.GetValue(onBench)!;
            if (!Demos.TryGetValue(name, out (string Device, string Procedure) shown))
                throw new RefusedException($"there is no demo bench '{name}'; there are: {string.Join(", ", Demos.Keys)}");
            SweepJob job = Prepare(
                workshop, name, shown.Device, arguments.GetValue(procedure) ?? shown.Procedure,
                records is null ? SeededId(name, arguments.GetValue(seed)) : Guid.CreateVersion7().ToString(),
                simulated: true, told, arguments);
            string? store = records is null ? null : Path.Combine(Options.MakeState(records, workshop), "records.sqlite");
            job = job with { Job = told.Job(arguments, workshop, job.Device.Name, store) };
            RunFolder? folder = arguments.GetValue(output) is { } path ? RunFolder.Prepare(path) : null;
            store ??= folder?.StorePath;
            bool asJson = arguments.GetValue(json);
            Action<JournalHead>? sign = SigningFor(folder?.FullPath, folder);
            if (!arguments.GetValue(realTime))
                return await Virtual(io, job, Simulated(job, arguments.GetValue(seed), arguments.GetValue(zero), arguments.GetValue(span)), folder, store, sign, asJson);
            if (arguments.GetValue(zero) is not null || arguments.GetValue(span) is not null)
                throw new RefusedException("--zero-error and --span-error are for virtual time; write them into a bench file of the simulator, or leave out --real-time");
            using BenchProcess bench = BenchProcess.Start(name, arguments.GetValue(seed), arguments.GetValue(truth));
            var guard = new GuardOrder(job.Bench.Name, shipped, bench.StateFolder, bench.Ports, static _ => { });
            using var people = RunPeople.Find(job, answersFile: null, bench.Ports, io.Error);
            return await RealTime(io, job, guard, folder, store, sign, asJson, people.Answers);
        });
        return command;
    }

    public static Command Sweep(CommandIo io)
    {
        Option<string> bench = new("--bench") { Description = "bench to run on", Required = true };
        Option<string[]> device = Options.Devices("device under test, NAME or NAME@INPUT; several hang on one manifold; without it the one of the job");
        Option<string> procedure = new("--procedure") { Description = "procedure to run", Required = true };
        Option<string?> answers = new("--answers") { Description = "file with one line for each question that waits for an answer, in their order; without it the person at the terminal is asked" };
        Option<string?> ports = new("--ports") { Description = "folder in which the bench file's port names are links; without it they are paths" };
        Option<string?> output = Options.Out();
        Option<string?> state = Options.State();
        Option<string?> config = Options.Config();
        Option<bool> json = Options.Json();
        var told = new SweepOptions();
        Command command = told.With(new Command("sweep", "Runs one calibration in the foreground.")
        {
            bench, device, procedure, output, ports, answers, state, config, json,
        });
        command.SetAction(async (arguments, _) =>
        {
            WorkshopConfiguration workshop = ConfigurationFolder.Load(arguments.GetValue(config));
            string calibrated = arguments.GetValue(device) is { Length: > 0 } named ? Mounting.Text(named) : told.DeviceOfJob(arguments, workshop)
                ?? throw new RefusedException("nothing says what is calibrated; write --device NAME, or --job NAME");
            SweepJob job = Prepare(
                workshop, arguments.GetValue(bench)!, calibrated, arguments.GetValue(procedure)!, Guid.CreateVersion7().ToString(),
                simulated: arguments.GetValue(ports) is not null, told, arguments);
            string store = Path.Combine(Options.StateOf(arguments.GetValue(state), workshop), "records.sqlite");
            job = job with { Job = told.Job(arguments, workshop, job.Device.Name, store) };
            RunFolder? folder = arguments.GetValue(output) is { } path ? RunFolder.Prepare(path) : null;
            string stateFolder = Options.MakeState(arguments.GetValue(state), workshop);
            var guard = new GuardOrder(job.Bench.Name, ConfigurationFolder.Find(arguments.GetValue(config)), stateFolder, arguments.GetValue(ports), static _ => { });
            using var people = RunPeople.Find(job, arguments.GetValue(answers), arguments.GetValue(ports), io.Error);
            return await RealTime(io, job, guard, folder, store, SigningFor(stateFolder, folder), arguments.GetValue(json), people.Answers);
        });
        return command;
    }

    private static SweepJob Prepare(
        WorkshopConfiguration workshop, string bench, string device, string procedure, string runId, bool simulated,
        SweepOptions told, ParseResult arguments)
    {
        SweepJob job = Prepare(workshop, bench, device, procedure, runId, simulated, told.Allowance(arguments));
        if (job.Beside.Count > 0 && told.DeviceOfJob(arguments, workshop) is not null)
            throw new RefusedException("--job is for one device and several were named; run the job's device by itself");
        return job.Each(one => one with { PerformedBy = told.PerformedBy(arguments), Environment = told.Environment(arguments, job.Bench) });
    }

    /// <summary>Looks everything up and checks that it may be run, before anything is opened.</summary>
    /// <exception cref="RefusedException">It may not; the message says why.</exception>
    public static SweepJob Prepare(
        WorkshopConfiguration workshop, string bench, string device, string procedure, string runId, bool simulated, OverdueAllowance? allowance)
    {
        BenchDefinition onBench = ConfigurationFolder.Named(workshop.Benches, "bench", bench);
        onBench = Mounted(workshop, onBench, device);
        DeviceDefinition ofDevice = onBench.Mounted.Count > 0 ? onBench.Mounted[0].Device : ConfigurationFolder.Named(workshop.Devices, "device", device);
        Procedure by = ConfigurationFolder.Named(workshop.Procedures, "procedure", procedure);
        IReadOnlyList<ConfigurationError> errors = RunCheck.Check(onBench, ofDevice, by, workshop.Origins);
        if (errors.Count > 0)
            throw new RefusedException(string.Join('\n', errors));
        PermitCheck.Demand(onBench, ofDevice, workshop.Origins);
        var today = DateOnly.FromDateTime(TimeProvider.System.GetUtcNow().UtcDateTime);
        // A simulated standard has no calibration that could run out.
        IReadOnlyList<ConfigurationError> overdue = simulated ? [] : StandardsInUse.Check(onBench, today, allowance, workshop.Origins);
        if (overdue.Count > 0)
            throw new RefusedException($"{string.Join('\n', overdue)}\nA named person can allow it with --allow-overdue NAME --reason TEXT; the certificate will show both.");
        SweepJob leading = JobOf(ofDevice, by, runId);
        return leading with
        {
            DevicesNamed = device,
            Beside = [.. onBench.Beside.Select(other => JobOf(
                other.Device, SharedSeries.Seen(by, ofDevice, other.Device, BenchLimits.AtmosphereOf(onBench)), NameOf(runId, other.Device)))],
        };

        SweepJob JobOf(DeviceDefinition one, Procedure how, string run) => new(onBench, one, how, workshop.Origins, run, simulated)
        {
            Standards = StandardsInUse.RecordFor(one, onBench, today, allowance),
            Laboratory = workshop.Daemon.Laboratory,
            Environment = SweepOptions.Room(onBench),
        };
    }

    /// <summary>The bench with the devices on it, as they were named.</summary>
    /// <exception cref="RefusedException">There is no such device, or no input for it.</exception>
    public static BenchDefinition Mounted(WorkshopConfiguration workshop, BenchDefinition bench, string devices)
    {
        BenchDefinition mounted = Mounting.Mount(
            bench, [.. Mounting.Named(devices).Select(one => (ConfigurationFolder.Named(workshop.Devices, "device", one.Device), one.Input))], out IReadOnlyList<string> problems);
        return problems.Count == 0 ? mounted : throw new RefusedException(string.Join('\n', problems));
    }

    /// <summary>The simulated bench, with other errors of its transmitter where they were given.</summary>
    private static SimulatedBench Simulated(SweepJob job, ulong seed, double? zeroPercent, double? spanPercent)
    {
        BenchDescription bench = BenchFile.Load(job.Bench.Name);
        DeviceErrors errors = bench.DeviceErrors;
        errors = errors with { ZeroPercent = zeroPercent ?? errors.ZeroPercent, SpanPercent = spanPercent ?? errors.SpanPercent };
        return new SimulatedBench(bench.WithDeviceErrors(errors), seed);
    }

    private static async Task<int> Virtual(
        CommandIo io, SweepJob job, SimulatedBench bench, RunFolder? folder, string? store, Action<JournalHead>? sign, bool json)
    {
        long began = TimeProvider.System.GetTimestamp();
        var order = new SweepOrder(
            job, (startedUtc, _) => new EmbeddedPlace(job, bench, folder?.JournalPath, startedUtc), folder)
        {
            SignJournal = sign,
        };
        Func<Prompt?, PersonAnswer?>? answers = job.Bench.Person is null
            ? null
            : new SimulatedPerson(new EmbeddedLine(bench.Port(SimulatedPerson.Port)), BenchLimits.AtmosphereOf(job.Bench)).Answers;
        int code = await Run(io, new ForegroundSweep(order, store, json) { Answers = answers });
        double real = TimeProvider.System.GetElapsedTime(began).TotalSeconds;
        double simulated = bench.NowMicros / 1e6;
        await io.Error.WriteLineAsync(string.Create(
            CultureInfo.InvariantCulture,
            $"{TimeSpan.FromSeconds(simulated):h\\:mm\\:ss} of bench time in {real:F1} s: {simulated / real:F0} times real time"));
        return code;
    }

    private static Task<int> RealTime(
        CommandIo io, SweepJob job, GuardOrder guard, RunFolder? folder, string? store, Action<JournalHead>? sign, bool json,
        Func<Prompt?, PersonAnswer?>? answers) =>
        Run(io, new ForegroundSweep(
            new SweepOrder(job, (_, tell) => new GuardedPlace(job, guard with { Tell = tell }, folder?.JournalPath, io.Error), folder)
            {
                SignJournal = sign,
            },
            store,
            json)
        {
            Answers = answers,
        });

    private static async Task<int> Run(CommandIo io, ForegroundSweep order)
    {
        HostApplicationBuilder builder = ProgramHost.Builder(io, LogEventLevel.Error, order.Sweep.Folder?.LogPath);
        builder.Services.AddSingleton(order);
        builder.Services.AddSingleton<SweepService>();
        builder.Services.AddHostedService(services => services.GetRequiredService<SweepService>());
        using IHost host = builder.Build();
        await host.StartAsync();
        await host.WaitForShutdownAsync();
        return host.Services.GetRequiredService<SweepService>().ExitCode;
    }

    private static Action<JournalHead>? SigningFor(string? keyFolder, RunFolder? folder)
    {
        if (folder is null || keyFolder is null)
            return null;
        JournalSigner signer = JournalSigner.InFolder(Path.GetFullPath(keyFolder));
        return head => signer.Sign(head, folder.JournalPath);
    }

    /// <summary>A simulated run is named by its seed, so that it repeats to the letter. The form is a UUID of version 8.</summary>
    private static string SeededId(string bench, ulong seed)
    {
        string on = bench == UsualDemo ? string.Empty : $" on {bench}";
        return HashedId(string.Create(CultureInfo.InvariantCulture, $"simulated run {seed}{on}"));
    }

    /// <summary>The run of a device beside the leading one is named after both.</summary>
    private static string NameOf(string leadingRun, DeviceDefinition device) => HashedId($"{leadingRun} beside {device.Name}");

    private static string HashedId(string text)
    {
        byte[] hash = SHA256.HashData(Encoding.UTF8.GetBytes(text));
        hash[6] = (byte)((hash[6] & 0x0F) | 0x80);
        hash[8] = (byte)((hash[8] & 0x3F) | 0x80);
        return new Guid(hash.AsSpan(0, 16), bigEndian: true).ToString();
    }
}
