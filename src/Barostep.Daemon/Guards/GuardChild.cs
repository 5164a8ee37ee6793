using System.Diagnostics;

namespace Barostep.Daemon.Guards;

/// <summary>Which guard program is started, and with what.</summary>
/// <param name="Bench">The bench.</param>
/// <param name="Config">Configuration folder.</param>
/// <param name="State">Folder for journals and sockets.</param>
/// <param name="Ports">Folder in which plain port names are links; null where they are paths.</param>
/// <param name="Tell">Takes each line that the guard tells people.</param>
internal sealed record GuardOrder(string Bench, string Config, string State, string? Ports, Action<string> Tell)
{
    /// <summary>Runs the vent helper: whatever became of a guard, it isolates and vents the bench.</summary>
    /// <returns>Whether it saw the bench depressurised.</returns>
    public bool Vent()
    {
        using Process helper = Start("--vent-only");
        helper.StandardInput.Close();
        helper.StandardOutput.ReadToEnd();
        helper.WaitForExit();
        return helper.ExitCode == ExitCodes.Done;
    }

    /// <summary>Starts the program that lies beside this one.</summary>
    public Process Start(string mode)
    {
        ProcessStartInfo start = ProgramBeside.Start("barostep-guard");
        start.RedirectStandardInput = start.RedirectStandardOutput = start.RedirectStandardError = true;
        foreach (string argument in new[] { "--bench", Bench, "--config", Config, "--state", State, mode })
            start.ArgumentList.Add(argument);
        if (Ports is not null)
        {
            start.ArgumentList.Add("--ports");
            start.ArgumentList.Add(Ports);
        }

        var process = new Process { StartInfo = start };
        process.ErrorDataReceived += (_, line) =>
        {
            if (line.Data is not null)
                Tell(line.Data);
        };
        process.Start();
        process.BeginErrorReadLine();
        return process;
    }
}

/// <summary>A guard that this program started, because no service manager had.</summary>
/// <remarks>It is told to stop by the end of its standard input, so that it also stops when this program dies.</remarks>
internal sealed class GuardChild : IDisposable
{
    private static readonly TimeSpan Startup = TimeSpan.FromSeconds(20);

    /// <summary>The guard's own deadline is 25 s.</summary>
    private static readonly TimeSpan Stop = TimeSpan.FromSeconds(40);

    private readonly Process _process;

    private GuardChild(Process process) => _process = process;

    public int ProcessId => _process.Id;

    public bool HasExited => _process.HasExited;

    /// <summary>Starts a guard and waits until it listens.</summary>
    /// <exception cref="RefusedException">It did not start; the message has its own words.</exception>
    public static GuardChild Start(GuardOrder order)
    {
        string last = "it did not become ready in time";
        var child = new GuardChild((order with { Tell = Listen }).Start("--until-stdin-closes"));
        Task<string?> ready = child._process.StandardOutput.ReadLineAsync();
        if (ready.Wait(Startup) && ready.Result == "ready")
            return child;
        child.Dispose();
        throw new RefusedException($"the guard of bench {order.Bench} did not start: {last}");

        void Listen(string line)
        {
            last = line;
            order.Tell(line);
        }
    }

    /// <summary>Lets it vent and end.</summary>
    /// <returns>Whether it saw the bench depressurised.</returns>
    public bool End()
    {
        _process.StandardInput.Close();
        return _process.WaitForExit(Stop) && _process.ExitCode == ExitCodes.Done;
    }

    public void Dispose()
    {
        if (!_process.HasExited)
            End();
        _process.Dispose();
    }
}
