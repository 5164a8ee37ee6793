using System.Net.Sockets;
using System.Text;
using System.Text.RegularExpressions;
using Barostep.Tests.EndToEnd;

namespace Barostep.Tests.Deployment;

/// <summary>The daemon as a package starts it for the first time: no bench yet, and a service manager that listens.</summary>
[Collection(RealPrograms.Name)]
public sealed partial class FreshInstallationTests : IDisposable
{
    private readonly Workshop _workshop = new();

    public void Dispose() => _workshop.Dispose();

    [Fact]
    public async Task It_serves_no_bench_says_so_and_tells_the_service_manager_when_it_is_ready_and_that_it_lives()
    {
        _workshop.Change("barostep.toml", "benches = [\"demo\"]", "benches = []");
        string notify = _workshop.In("notify");
        using var manager = new Socket(AddressFamily.Unix, SocketType.Dgram, ProtocolType.Unspecified);
        manager.Bind(new UnixDomainSocketEndPoint(notify));

        using ChildProgram daemon = ChildProgram.StartUnder(
            [$"NOTIFY_SOCKET={notify}"], Programs.Daemon, _workshop.Folder, "serve", "--port", "0", "--config", _workshop.Config);
        var heard = new List<string>();
        byte[] buffer = new byte[100];
        await daemon.UntilAsync(() =>
        {
            while (manager.Available > 0)
                heard.Add(Encoding.ASCII.GetString(buffer, 0, manager.Receive(buffer)));
            return heard.Contains("WATCHDOG=1");
        });
        Assert.Equal("READY=1", heard[0]);
        Assert.Contains("names no bench yet", daemon.Error, StringComparison.Ordinal);

        using var client = new HttpClient { BaseAddress = new Uri(Address().Match(daemon.Error).Groups[1].Value) };
        Assert.Equal("[]", await client.GetStringAsync("/api/v1/benches"));
        Assert.Contains("barostep_disk_free_bytes ", await client.GetStringAsync("/metrics"), StringComparison.Ordinal);
        using HttpResponseMessage ready = await client.GetAsync("/health/ready");
        Assert.Equal(503, (int)ready.StatusCode);

        daemon.Signal(ChildProgram.Terminate);
        Assert.Equal(0, (await daemon.EndAsync()).ExitCode);
    }

    [GeneratedRegex("page (http://[^/]+)/")]
    private static partial Regex Address();
}
