using System.Diagnostics;

namespace Barostep.Tests.Records;

/// <summary>The program as a process of its own, with what the tests were built with.</summary>
internal static class ProgramUnderTest
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(120);

    public static ProcessStartInfo Start(params string[] arguments)
    {
        var start = new ProcessStartInfo("dotnet") { RedirectStandardOutput = true, RedirectStandardError = true };
        // The program's own list of dependencies knows native libraries only beside itself; the tests' list knows where they lie here.
        foreach (string argument in new[] { "exec", "--depsfile", Beside("Barostep.Tests.deps.json"), "--runtimeconfig", Beside("Barostep.Tests.runtimeconfig.json"), Beside("barostep.dll") })
            start.ArgumentList.Add(argument);
        foreach (string argument in arguments)
            start.ArgumentList.Add(argument);
        return start;
    }

    public static async Task<(int Code, string Out, string Error)> Run(params string[] arguments)
    {
        using Process process = Process.Start(Start(arguments))!;
        Task<string> output = process.StandardOutput.ReadToEndAsync();
        Task<string> error = process.StandardError.ReadToEndAsync();
        await process.WaitForExitAsync().WaitAsync(Patience);
        return (process.ExitCode, await output, await error);
    }

    private static string Beside(string name) => Path.Combine(AppContext.BaseDirectory, name);
}
