using System.Globalization;

namespace Barostep.Tests.Processes;

/// <summary>One row of the simulated bench's truth file.</summary>
/// <param name="Seconds">Since the bench's start.</param>
/// <param name="PressurePascals">Absolute.</param>
/// <param name="FillOpening">Of the fill valve, 0 to 1; so for the other valves.</param>
/// <param name="VentOpening">Of the vent valve.</param>
/// <param name="DumpOpening">Of the dump valve; 0 where there is none.</param>
/// <param name="AtmospherePascals">Around the bench.</param>
internal readonly record struct TrueMoment(
    double Seconds, double PressurePascals, double FillOpening, double VentOpening, double DumpOpening, double AtmospherePascals)
{
    /// <summary>Gauge pressure, bar.</summary>
    public double BarGauge => (PressurePascals - AtmospherePascals) / 1e5;
}

/// <summary>The simulated bench in a process of its own, behind pseudo-terminals.</summary>
internal sealed class RunningBench : IDisposable
{
    private readonly ChildProgram _program;

    private RunningBench(ChildProgram program, string folder)
    {
        _program = program;
        AllPorts = Path.Combine(folder, "ports");
        Ports = PortsIn(folder);
        TruthPath = Path.Combine(folder, "truth.csv");
    }

    /// <summary>The bench's own folder of ports.</summary>
    public string Ports { get; }

    /// <summary>The folder that holds one for each bench, as the daemon takes it.</summary>
    public string AllPorts { get; }

    public string TruthPath { get; }

    /// <summary>Starts it, with its ports and its truth file in the folder, and waits until the ports can be opened.</summary>
    public static async Task<RunningBench> StartAsync(string folder, string bench = "demo", params string[] options)
    {
        Directory.CreateDirectory(folder);
        string[] arguments =
        [
            "--bench", bench, "--ports", PortsIn(folder), "--truth", Path.Combine(folder, "truth.csv"), "--until-stdin-closes", .. options,
        ];
        var running = new RunningBench(ChildProgram.Start(Programs.Bench, folder, arguments), folder);
        await running._program.UntilAsync(() => running._program.Out.Contains("ready", StringComparison.Ordinal));
        return running;
    }

    public static List<TrueMoment> Truth(string path)
    {
        using var file = new StreamReader(new FileStream(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite));
        string[] lines = file.ReadToEnd().Split('\n');
        // The last is empty, or half written.
        return [.. lines[1..^1].Select(Moment)];
    }

    /// <summary>The true pressure now, Pa absolute; 0 before the first row.</summary>
    public static double PressureNow(string path) => Now(path)?.PressurePascals ?? 0;

    /// <summary>The newest whole row; null before the first.</summary>
    public static TrueMoment? Now(string path)
    {
        if (!File.Exists(path))
            return null;
        using var file = new FileStream(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite);
        file.Seek(Math.Max(0, file.Length - 1024), SeekOrigin.Begin);
        string[] lines = new StreamReader(file).ReadToEnd().Split('\n');
        return lines.Length < 3 || lines[^2].StartsWith("t_s", StringComparison.Ordinal) ? null : Moment(lines[^2]);
    }

    public void Fault(string line)
    {
        _program.Input.WriteLine(line);
        _program.Input.Flush();
    }

    public void Dispose()
    {
        _program.Input.Close();
        _program.EndAsync().Wait();
        _program.Dispose();
    }

    private static string PortsIn(string folder) => Path.Combine(folder, "ports", "demo");

    private static TrueMoment Moment(string row)
    {
        double[] fields = [.. row.Split(',').Select(field => double.Parse(field, CultureInfo.InvariantCulture))];
        return new TrueMoment(fields[0], fields[1], fields[5], fields[6], fields[8], fields[9]);
    }
}
