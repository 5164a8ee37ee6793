using System.Diagnostics;
using Barostep.Daemon.Commands;
using Barostep.Tests.Repository;

namespace Barostep.Tests.Deployment;

/// <summary>What goes into the Debian package fits the program. That it installs is tested by tests/debian/install-test.</summary>
public sealed class PackageScriptTests
{
    [Theory]
    [InlineData("sh", "config/debian/postinst")]
    [InlineData("sh", "config/debian/prerm")]
    [InlineData("sh", "config/debian/postrm")]
    [InlineData("bash", "config/debian/build-package")]
    [InlineData("bash", "tests/debian/install-test")]
    [InlineData("bash", "config/completions/barostep.bash")]
    public void A_shell_understands_it(string shell, string script)
    {
        var start = new ProcessStartInfo(shell, ["-n", Path.Combine(RepositoryPaths.Root, script)]) { RedirectStandardError = true };
        using Process process = Process.Start(start)!;
        string told = process.StandardError.ReadToEnd();
        process.WaitForExit();

        Assert.True(process.ExitCode == 0, told);
    }

    [Fact]
    public void The_unit_starts_the_daemon_with_a_command_that_it_understands()
    {
        string unit = File.ReadAllLines(Path.Combine(RepositoryPaths.Root, "config", "systemd", "barostep.service"))
            .Single(line => line.StartsWith("ExecStart=/usr/lib/barostep/barostep ", StringComparison.Ordinal));

        Assert.Empty(CommandLine.Root(new CommandIo(TextWriter.Null, TextWriter.Null, IsInteractive: false)).Parse(unit.Split(' ')[1..]).Errors);
    }

    [Fact]
    public void The_settings_that_the_package_rewrites_are_lines_of_the_shipped_file()
    {
        string[] settings = File.ReadAllLines(Path.Combine(RepositoryPaths.Root, "config", "barostep.toml"));

        Assert.Single(settings, line => line.StartsWith("state_folder = ", StringComparison.Ordinal));
        Assert.Single(settings, line => line.StartsWith("benches = ", StringComparison.Ordinal));
    }
}
