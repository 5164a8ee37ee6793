using System.Diagnostics;
using System.Text.RegularExpressions;
using Barostep.Tests.Repository;

namespace Barostep.Tests.EndToEnd;

/// <summary>docs/tutorial.md, done as it stands there: every command of a part that needs no hardware, in order.</summary>
[Collection(RealPrograms.Name)]
public sealed partial class TutorialTests : IDisposable
{
    private static readonly string _page = File.ReadAllText(Path.Combine(RepositoryPaths.Root, "docs", "tutorial.md"));

    private readonly Workshop _workshop = new();

    public void Dispose() => _workshop.Dispose();

    /// <summary>The commands, the code that each ends with, and the words of the tutorial that its output holds.</summary>
    public static (string Command, int ExitCode, string Answer)[] Steps { get; } =
    [
        ("barostep demo --procedure quick-look --out out", 0, "PASSED: all 6 points within ±0.500 % of span"),
        ("barostep runs list --state out", 0, "1 runs"),
        ("barostep journal verify out/journal.jsonl", 0, "entries are intact"),
        ("barostep journal replay out/journal.jsonl", 0, "cycles decided anew and found equal"),
        ("cp -r config mine", 0, ""),
        ("barostep check --config mine", 0, "no errors"),
        ("sed -i 's/^ceiling = .*/ceiling = 17/' mine/benches/demo.toml", 0, ""),
        ("barostep check --config mine", 2, "write \"17 bar gauge\" if that is the unit meant"),
        ("sed -i 's/^ceiling = .*/ceiling = \"17 bar gauge\"/' mine/benches/demo.toml", 0, ""),
        ("barostep check --config mine", 0, ""),
        ("barostep limits --config mine --bench demo --device transmitter-16bar", 0, "PERMITTED, only with somebody present"),
        ("barostep-bench --bench demo --ports sim --until-stdin-closes", 0, ""),
        ("barostep instrument probe --definition fixed-indicator --port sim/reference", 0, "0 without an answer in time, 0 answers not understood"),
    ];

    [Fact]
    public void The_page_has_these_steps_and_these_answers()
    {
        string lines = WhiteSpace().Replace(_page, " ");

        Assert.Equal(CommandsOf(_page), Steps.Select(step => step.Command));
        Assert.All(Steps, step => Assert.Contains(step.Answer, lines, StringComparison.Ordinal));
    }

    [Fact]
    public async Task Whoever_does_what_the_tutorial_says_gets_the_answers_that_it_shows()
    {
        Shim.Write(_workshop.In("bin"), "barostep", Programs.Daemon);
        Shim.Write(_workshop.In("bin"), "barostep-bench", Programs.Bench);
        Copy(Path.Combine(RepositoryPaths.Root, "config"), _workshop.In("config"));
        Process? bench = null;
        try
        {
            foreach ((string command, int exitCode, string answer) in Steps)
            {
                Process step = Start(command);
                if (command.StartsWith("barostep-bench", StringComparison.Ordinal))
                {
                    bench = step;
                    Assert.Equal("ready", await step.StandardOutput.ReadLineAsync());
                    continue;
                }

                step.StandardInput.Close();
                Task<string> error = step.StandardError.ReadToEndAsync();
                string told = await step.StandardOutput.ReadToEndAsync() + await error;
                await step.WaitForExitAsync();
                Assert.True(step.ExitCode == exitCode, $"{command}: {step.ExitCode}\n{told}");
                Assert.Contains(answer, told, StringComparison.Ordinal);
                step.Dispose();
            }
        }
        finally
        {
            bench?.StandardInput.Close();
            bench?.WaitForExit();
            bench?.Dispose();
        }
    }

    private static IEnumerable<string> CommandsOf(string page) => page.Split("\n## ")
        .Where(part => !part.Split('\n')[0].Contains("(yours)", StringComparison.Ordinal))
        .SelectMany(part => part.Split('\n'))
        .Where(line => line.StartsWith("    ", StringComparison.Ordinal))
        .Select(line => line.Trim());

    private Process Start(string command)
    {
        var start = new ProcessStartInfo("bash", ["-c", $"PATH=\"$PWD/bin:$PATH\"; {(command.StartsWith("barostep", StringComparison.Ordinal) ? "exec " : string.Empty)}{command}"])
        {
            WorkingDirectory = _workshop.Folder,
            RedirectStandardInput = true,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
        };
        return Process.Start(start)!;
    }

    private static void Copy(string from, string to)
    {
        foreach (string file in Directory.GetFiles(from, "*", SearchOption.AllDirectories))
        {
            string target = Path.Combine(to, Path.GetRelativePath(from, file));
            Directory.CreateDirectory(Path.GetDirectoryName(target)!);
            File.Copy(file, target, overwrite: true);
        }
    }

    [GeneratedRegex("\\s+")]
    private static partial Regex WhiteSpace();
}
