using System.Diagnostics;

namespace Barostep.Daemon;

/// <summary>A program of the same installation, run the way that this one is.</summary>
internal static class ProgramBeside
{
    /// <summary>Only an installation that carries its own runtime has this file beside its programs.</summary>
    private const string OwnRuntime = "libhostpolicy.so";

    /// <summary>How to start it; arguments are added by the caller.</summary>
    /// <param name="name">"barostep", "barostep-guard" or "barostep-bench".</param>
    public static ProcessStartInfo Start(string name)
    {
        string program = Path.Combine(AppContext.BaseDirectory, name);
        if (File.Exists(Path.Combine(AppContext.BaseDirectory, OwnRuntime)))
            return new ProcessStartInfo(program);
        var start = new ProcessStartInfo(Environment.GetEnvironmentVariable("DOTNET_HOST_PATH") ?? "dotnet");
        start.ArgumentList.Add($"{program}.dll");
        return start;
    }
}
