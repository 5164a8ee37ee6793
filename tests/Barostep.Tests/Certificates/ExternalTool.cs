using System.Diagnostics;

namespace Barostep.Tests.Certificates;

/// <summary>A program from outside that holds our formats against its own reading of them.</summary>
internal static class ExternalTool
{
    public static bool InCi => Environment.GetEnvironmentVariable("CI") == "true";

    public static bool Exists(string name) => (Environment.GetEnvironmentVariable("PATH") ?? string.Empty)
        .Split(Path.PathSeparator)
        .Any(folder => File.Exists(Path.Combine(folder, name)));

    public static (int ExitCode, string Output) Run(string name, params string[] arguments)
    {
        using Process process = Process.Start(new ProcessStartInfo(name, arguments) { RedirectStandardOutput = true, RedirectStandardError = true })!;
        Task<string> errors = process.StandardError.ReadToEndAsync();
        string output = process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        return (process.ExitCode, output + errors.GetAwaiter().GetResult());
    }
}

/// <summary>Runs where the tool is installed and in CI, where its absence is a failure; skipped elsewhere.</summary>
internal sealed class ToolFactAttribute : FactAttribute
{
    public ToolFactAttribute(string tool) => Skip = ExternalTool.Exists(tool) || ExternalTool.InCi ? null : $"{tool} is not installed here";
}

/// <summary>As <see cref="ToolFactAttribute"/>, for several cases.</summary>
internal sealed class ToolTheoryAttribute : TheoryAttribute
{
    public ToolTheoryAttribute(string tool) => Skip = ExternalTool.Exists(tool) || ExternalTool.InCi ? null : $"{tool} is not installed here";
}
