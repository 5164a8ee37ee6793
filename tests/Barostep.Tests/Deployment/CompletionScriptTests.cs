using System.Diagnostics;
using Barostep.Tests.EndToEnd;
using Barostep.Tests.Repository;

namespace Barostep.Tests.Deployment;

/// <summary>The script for bash, run by bash with the real program behind it.</summary>
[Collection(RealPrograms.Name)]
public sealed class CompletionScriptTests : IDisposable
{
    private readonly Workshop _workshop = new();

    public void Dispose() => _workshop.Dispose();

    [Theory]
    [InlineData("barostep jour", "journal")]
    [InlineData("barostep journal ", "replay,report,verify")]
    [InlineData("barostep demo --procedure five", "five-point")]
    [InlineData("barostep journal verify no-such-fi", "")]
    public void Bash_completes(string line, string expected)
    {
        Shim.Write(_workshop.Folder, "barostep", Programs.Daemon);
        string script = Path.Combine(RepositoryPaths.Root, "config", "completions", "barostep.bash");
        var start = new ProcessStartInfo("bash", ["-c", $"PATH='{_workshop.Folder}':$PATH; source '{script}'; COMP_LINE='{line}'; COMP_POINT={line.Length}; _barostep; printf '%s\\n' \"${{COMPREPLY[@]}}\" | sort | paste -sd,"])
        {
            RedirectStandardOutput = true,
            WorkingDirectory = _workshop.Folder,
        };

        using Process bash = Process.Start(start)!;
        Assert.Equal(expected, bash.StandardOutput.ReadToEnd().Trim().Replace("--help,", string.Empty, StringComparison.Ordinal));
        bash.WaitForExit();
    }
}
