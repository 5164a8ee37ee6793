using System.Diagnostics;
using System.Globalization;

namespace Barostep.Daemon.Sweeps;

/// <summary>The simulated bench in a process of its own, behind pseudo-terminals.</summary>
internal sealed class BenchProcess : IDisposable
{
    private static readonly TimeSpan Startup = TimeSpan.FromSeconds(20);

    private readonly Process _process;
    private readonly DirectoryInfo _folder;

    private BenchProcess(Process process, DirectoryInfo folder)
    {
        _process = process;
        _folder = folder;
    }

    /// <summary>Folder with one link per instrument.</summary>
    public string Ports => Path.Combine(_folder.FullName, "ports");

    /// <summary>Folder for what a guard of this bench keeps: it is gone with the bench.</summary>
    public string StateFolder => Path.Combine(_folder.FullName, "state");

    /// <summary>Starts the program that lies beside this one, and waits until its ports can be opened.</summary>
    /// <param name="bench">Name of the simulated bench.</param>
    /// <param name="seed">Seed of its noise.</param>
    /// <param name="truthPath">Where it writes the true state of the gas; null for nowhere.</param>
    /// <param name="baud">Speed of every line instead of the bench's own; null keeps those.</param>
    /// <exception cref="RefusedException">It did not start; the message has its own words.</exception>
    public static BenchProcess Start(string bench, ulong seed, string? truthPath, int? baud = null)
    {
        DirectoryInfo folder = Directory.CreateTempSubdirectory("barostep-bench-");
        Directory.CreateDirectory(Path.Combine(folder.FullName, "ports"));
        ProcessStartInfo start = ProgramBeside.Start("barostep-bench");
        start.RedirectStandardInput = start.RedirectStandardOutput = start.RedirectStandardError = true;
        foreach (string argument in new[]
        {
            "--bench", bench, "--ports", Path.Combine(folder.FullName, "ports"), "--seed", seed.ToString(CultureInfo.InvariantCulture), "--until-stdin-closes",
        })
            start.ArgumentList.Add(argument);
        if (truthPath is not null)
        {
            start.ArgumentList.Add("--truth");
            start.ArgumentList.Add(truthPath);
        }

        if (baud is { } speed)
        {
            start.ArgumentList.Add("--baud");
            start.ArgumentList.Add(speed.ToString(CultureInfo.InvariantCulture));
        }

        Process process = Process.Start(start)!;
        var started = new BenchProcess(process, folder);
        Task<string?> ready = process.StandardOutput.ReadLineAsync();
        if (ready.Wait(Startup) && ready.Result == "ready")
            return started;
        string said = process.HasExited ? process.StandardError.ReadToEnd().Trim() : "it did not become ready in time";
        started.Dispose();
        throw new RefusedException($"the simulated bench did not start: {said}");
    }

    /// <summary>Ends the process by closing its input, and removes the ports' folder.</summary>
    public void Dispose()
    {
        _process.StandardInput.Close();
        if (!_process.WaitForExit(TimeSpan.FromSeconds(5)))
            _process.Kill();
        _process.Dispose();
        _folder.Delete(recursive: true);
    }
}
