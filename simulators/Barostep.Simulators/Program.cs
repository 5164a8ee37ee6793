using System.CommandLine;
using System.Runtime.InteropServices;
using Barostep.Simulators;
using Barostep.Simulators.Faults;
using Barostep.Simulators.Terminal;

const int UsageError = 2;
const long TruthPeriodMicros = 10_000;

Option<string> bench = new("--bench") { Description = "Bench file, or the name of a shipped one (demo, gauge, panel, pump).", Required = true, HelpName = "FILE" };
Option<DirectoryInfo> ports = new("--ports") { Description = "Directory for the links to the pseudo-terminals, one per instrument.", Required = true, HelpName = "DIR" };
Option<int?> baud = new("--baud") { Description = "Speed of every instrument, instead of the bench file's.", HelpName = "N" };
Option<string?> faults = new("--faults") { Description = "Fault lines to apply, with 'at SECONDS' before one or at once.", HelpName = "FILE" };
Option<string?> truth = new("--truth") { Description = "True state of the gas as CSV, 100 rows a second.", HelpName = "FILE" };
Option<ulong> seed = new("--seed") { Description = "Seed of all noise and random faults.", DefaultValueFactory = _ => 1, HelpName = "N" };
Option<bool> untilStdinCloses = new("--until-stdin-closes") { Description = "End when standard input closes." };
baud.Validators.Add(r =>
{
    if (r.Tokens.Count == 1 && int.TryParse(r.Tokens[0].Value, out int given) && given is < 50 or > 4_000_000)
    {
        r.AddError($"--baud {r.Tokens[0].Value} is out of range: write a speed from 50 to 4000000.");
    }
});
RootCommand command = new("A simulated pressure bench: one pseudo-terminal per instrument, in real time.")
{
    bench, ports, baud, faults, truth, seed, untilStdinCloses,
};
command.SetAction(parsed => Run(
    parsed.GetRequiredValue(bench),
    parsed.GetRequiredValue(ports).FullName,
    parsed.GetValue(baud),
    parsed.GetValue(faults),
    parsed.GetValue(truth),
    parsed.GetValue(seed),
    parsed.GetValue(untilStdinCloses)));
ParseResult result = command.Parse(args);
if (result.Errors.Count > 0)
{
    foreach (var error in result.Errors)
    {
        Console.Error.WriteLine($"barostep-bench: {error.Message}");
    }

    return UsageError;
}

return result.Invoke();

static int Run(string benchFile, string directory, int? baud, string? faultFile, string? truthFile, ulong seed, bool untilStdinCloses)
{
    bool stop = false;
    void Stop(PosixSignalContext context)
    {
        context.Cancel = true;
        Volatile.Write(ref stop, true);
    }

    using PosixSignalRegistration terminate = PosixSignalRegistration.Create(PosixSignal.SIGTERM, Stop);
    using PosixSignalRegistration interrupt = PosixSignalRegistration.Create(PosixSignal.SIGINT, Stop);
    try
    {
        BenchDescription description = BenchFile.Load(benchFile);
        SimulatedBench bench = new(baud is { } speed ? description.AtBaud(speed) : description, seed);
        InjectFile(bench, faultFile);
        using TruthFile? truth = truthFile is null ? null : new TruthFile(truthFile);
        if (truth is not null)
        {
            bench.SampleTruth(TruthPeriodMicros, truth.Write);
        }

        using RealTimeBench running = new(bench, directory);
        Console.WriteLine("ready");
        while (!Volatile.Read(ref stop) && !(untilStdinCloses && running.InputEnded))
        {
            running.Turn();
        }

        return 0;
    }
    catch (Exception e) when (e is BenchFileException or FaultLineException or IOException or UnauthorizedAccessException)
    {
        Console.Error.WriteLine(e.Message);
        return UsageError;
    }
}

static void InjectFile(SimulatedBench bench, string? path)
{
    if (path is null)
    {
        return;
    }

    string[] lines;
    try
    {
        lines = File.ReadAllLines(path);
    }
    catch (Exception e) when (e is IOException or UnauthorizedAccessException)
    {
        throw new IOException($"--faults {path}: the file cannot be read ({e.Message}): write the path of a file of fault lines");
    }

    for (int i = 0; i < lines.Length; i++)
    {
        try
        {
            bench.Inject(lines[i]);
        }
        catch (FaultLineException e)
        {
            throw new FaultLineException($"{path}:{i + 1}: {e.Message}");
        }
    }
}
