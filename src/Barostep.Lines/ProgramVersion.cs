using System.Reflection;
using System.Security.Cryptography;

namespace Barostep;

/// <summary>The version that records and messages carry.</summary>
public static class ProgramVersion
{
    /// <summary>SHA-256 of the assembly that decides, hexadecimal: a replay needs the same.</summary>
    public static string KernelHash { get; } =
        Convert.ToHexStringLower(SHA256.HashData(File.ReadAllBytes(typeof(Safety.SafetyKernel).Assembly.Location)));

    public static string Text { get; } =
        typeof(ProgramVersion).Assembly.GetCustomAttribute<AssemblyInformationalVersionAttribute>()?.InformationalVersion ?? "unknown";
}
