using System.Net;
using System.Net.Sockets;
using System.Text;
using Barostep.Daemon.Api.Metrics;

namespace Barostep.Tests.EndToEnd;

/// <summary>A collector on this machine gets over OTLP what a scrape gets.</summary>
[Collection(RealPrograms.Name)]
public sealed class CollectorTests : IDisposable
{
    /// <summary>Only while a run goes on, and counts that are still 0; the last is told by runs.</summary>
    private static readonly string[] NotOfAnIdleBench = ["barostep.setpoint", "barostep.loop.current", "barostep.safety.vents"];

    private readonly Workshop _workshop = new();
    private readonly HttpListener _collector = new();
    private readonly StringBuilder _heard = new();
    private readonly string _address;

    public CollectorTests()
    {
        using (var free = new TcpListener(IPAddress.Loopback, 0))
        {
            free.Start();
            _address = $"http://127.0.0.1:{((IPEndPoint)free.LocalEndpoint).Port}/";
        }

        _collector.Prefixes.Add(_address);
        _collector.Start();
        _ = ListenAsync();
    }

    public void Dispose()
    {
        _collector.Close();
        _workshop.Dispose();
    }

    [Fact]
    public async Task Every_metric_of_daemon_and_bench_arrives_under_its_own_name()
    {
        using RunningBench bench = await RunningBench.StartAsync(_workshop.In("bench"));
        using ChildProgram daemon = ChildProgram.StartUnder(
            [$"OTEL_EXPORTER_OTLP_ENDPOINT={_address}", "OTEL_EXPORTER_OTLP_PROTOCOL=http/protobuf", "OTEL_METRIC_EXPORT_INTERVAL=500"],
            Programs.Daemon, _workshop.Folder, "serve", "--port", "0", "--config", _workshop.Config, "--ports", bench.AllPorts);
        string[] expected = [.. DaemonMetrics.Families.Concat(BenchMetrics.Families).Select(family => family.Name).Except(NotOfAnIdleBench)];

        // Names travel as they are written in the binary form of the protocol.
        await daemon.UntilAsync(() => expected.All(Heard));

        daemon.Signal(ChildProgram.Terminate);
        Assert.Equal(0, (await daemon.EndAsync()).ExitCode);
    }

    private bool Heard(string name)
    {
        lock (_heard)
            return _heard.ToString().Contains(name, StringComparison.Ordinal);
    }

    private async Task ListenAsync()
    {
        try
        {
            while (true)
            {
                HttpListenerContext sent = await _collector.GetContextAsync();
                using var body = new MemoryStream();
                await sent.Request.InputStream.CopyToAsync(body);
                lock (_heard)
                    _heard.Append(Encoding.Latin1.GetString(body.ToArray()));
                sent.Response.Close();
            }
        }
        catch (Exception closed) when (closed is HttpListenerException or ObjectDisposedException)
        {
            // The test is over.
        }
    }
}
