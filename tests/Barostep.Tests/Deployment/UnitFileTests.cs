using System.Diagnostics;
using Barostep.Tests.Repository;

namespace Barostep.Tests.Deployment;

/// <summary>The unit files for a service manager say what the documentation claims of them.</summary>
public sealed class UnitFileTests
{
    private static readonly string Folder = Path.Combine(RepositoryPaths.Root, "config", "systemd");

    [Fact]
    [Trait("SR", "37")]
    public void The_guard_is_watched_for_two_seconds_and_killed_in_a_way_that_a_stopped_process_hears()
    {
        ILookup<string, string> guard = Read("barostep-guard@.service");

        Assert.Equal("notify", Assert.Single(guard["Type"]));
        Assert.Equal("main", Assert.Single(guard["NotifyAccess"]));
        Assert.Equal("2", Assert.Single(guard["WatchdogSec"]));
        Assert.Equal("SIGKILL", Assert.Single(guard["WatchdogSignal"]));
        Assert.Equal("1", Assert.Single(guard["TimeoutAbortSec"]));
    }

    [Theory]
    [InlineData("barostep-guard@.service")]
    [InlineData("barostep.service")]
    [Trait("SR", "39")]
    public void A_fourth_start_within_ten_minutes_stays_down(string file)
    {
        ILookup<string, string> unit = Read(file);

        Assert.Equal("600", Assert.Single(unit["StartLimitIntervalSec"]));
        Assert.Equal("3", Assert.Single(unit["StartLimitBurst"]));
        Assert.Equal("on-failure", Assert.Single(unit["Restart"]));
    }

    [Fact]
    [Trait("SR", "35, 36")]
    public void The_vent_helper_runs_after_any_end_and_the_stop_is_given_its_time()
    {
        ILookup<string, string> guard = Read("barostep-guard@.service");

        string start = Assert.Single(guard["ExecStart"]);
        Assert.Equal($"{start} --vent-only", Assert.Single(guard["ExecStopPost"]));
        // 25 s of the guard and 5 s of the helper.
        Assert.InRange(int.Parse(Assert.Single(guard["TimeoutStopSec"]), System.Globalization.CultureInfo.InvariantCulture), 31, 60);
    }

    [Fact]
    [Trait("SR", "13, 33")]
    public void Guard_and_daemon_are_two_accounts_and_only_serial_ports_are_the_guards()
    {
        ILookup<string, string> guard = Read("barostep-guard@.service");
        ILookup<string, string> daemon = Read("barostep.service");

        Assert.NotEqual(Assert.Single(guard["User"]), Assert.Single(daemon["User"]));
        Assert.Equal(["dialout"], guard["SupplementaryGroups"]);
        Assert.Equal("AF_UNIX", Assert.Single(guard["RestrictAddressFamilies"]));
        Assert.Equal("closed", Assert.Single(guard["DevicePolicy"]));
        Assert.All(guard["DeviceAllow"], device => Assert.StartsWith("char-tty", device, StringComparison.Ordinal));
        foreach (ILookup<string, string> unit in new[] { guard, daemon })
        {
            Assert.Equal("yes", Assert.Single(unit["NoNewPrivileges"]));
            // Without any capability nobody here can set the clock.
            Assert.Equal(string.Empty, Assert.Single(unit["CapabilityBoundingSet"]));
            Assert.Equal("yes", Assert.Single(unit["ProtectClock"]));
            Assert.Equal("strict", Assert.Single(unit["ProtectSystem"]));
        }
    }

    [Theory]
    [InlineData("barostep-guard@.service", "barostep-guard@demo.service")]
    [InlineData("barostep.service", "barostep.service")]
    [Trait("SR", "37, 39")]
    public void The_service_manager_understands_every_line(string file, string unit)
    {
        // What the units start is not installed here; everything else must be understood.
        string copy = Directory.CreateTempSubdirectory("barostep-units-").FullName;
        try
        {
            string text = File.ReadAllText(Path.Combine(Folder, file)).Replace("=/usr/lib/barostep/", "=/bin/true /usr/lib/barostep/", StringComparison.Ordinal);
            File.WriteAllText(Path.Combine(copy, unit), text);
            string? told = Verify(Path.Combine(copy, unit));
            // Where there is no service manager there is nobody to understand them.
            Assert.True(string.IsNullOrWhiteSpace(told), told);
        }
        finally
        {
            Directory.Delete(copy, recursive: true);
        }
    }

    private static string? Verify(string path)
    {
        const string program = "/usr/bin/systemd-analyze";
        if (!File.Exists(program))
            return null;
        var start = new ProcessStartInfo(program, ["verify", path]) { RedirectStandardError = true, RedirectStandardOutput = true };
        using Process process = Process.Start(start)!;
        string told = process.StandardError.ReadToEnd() + process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        // Units of the machine itself are not ours to judge.
        return string.Join('\n', told.Split('\n').Where(line => line.Contains("barostep", StringComparison.Ordinal)));
    }

    private static ILookup<string, string> Read(string file) => File.ReadAllLines(Path.Combine(Folder, file))
        .Where(line => line.Contains('=', StringComparison.Ordinal) && !line.StartsWith('#'))
        .Select(line => line.Split('=', 2))
        .ToLookup(pair => pair[0], pair => pair[1], StringComparer.Ordinal);
}
