using System.Reflection;

namespace Barostep.Tests.Processes;

/// <summary>Where the built programs lie; the build writes the place into this assembly.</summary>
internal static class Programs
{
    public static string Daemon { get; } = typeof(Programs).Assembly.GetCustomAttributes<AssemblyMetadataAttribute>()
        .Single(attribute => attribute.Key == "DaemonProgram").Value!;

    public static string Bench { get; } = Beside("barostep-bench.dll");

    public static string Guard { get; } = Beside("barostep-guard.dll");

    /// <summary>The bench files that came with the simulator.</summary>
    public static string BenchFiles { get; } = Beside("benches");

    private static string Beside(string name) => Path.Combine(Path.GetDirectoryName(Daemon)!, name);
}
