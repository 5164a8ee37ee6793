using System.Net;
using System.Net.Sockets;
using Barostep.Lines;
using Barostep.Instruments;
using Barostep.Tests.Instruments;

namespace Barostep.Tests.Lines;

public sealed class LinePumpTests : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("barostep-lines-").FullName;

    private string Link => Path.Combine(_folder, "source");

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Fact]
    public void A_real_terminal_is_identified_polled_and_commanded()
    {
        using PseudoTerminal terminal = new(Link, TestInstruments.Answer);
        using PumpBench bench = new(Link);
        bench.Driver.Poll(Capability.ReadPressure, 1_000);
        bench.WaitFor(() => bench.Count(Capability.ReadPressure, ExchangeOutcome.Answered) >= 20);
        bench.Driver.Command(Capability.Vent, 0, CommandUrgency.Urgent, 5);
        bench.WaitFor(() => bench.Count(Capability.Vent, ExchangeOutcome.Sent) == 1);
        Assert.Equal(TestInstruments.IdentityReply, bench.Driver.IdentityText);
        Assert.Empty(bench.Pump.Trouble);
        Assert.Equal(0, bench.Driver.Garbage);
    }

    [Fact]
    public void A_pulled_cable_is_seen_and_a_new_terminal_under_the_same_name_is_found()
    {
        PseudoTerminal first = new(Link, TestInstruments.Answer);
        using PumpBench bench = new(Link);
        bench.Driver.Poll(Capability.ReadPressure, 1_000);
        bench.WaitFor(() => bench.Count(Capability.ReadPressure, ExchangeOutcome.Answered) >= 5);
        first.Dispose();
        bench.WaitFor(() => bench.Driver.State == LinkState.Closed);
        bench.Driver.Command(Capability.Control, 0, CommandUrgency.Normal, 5);
        bench.WaitFor(() => bench.Count(Capability.Control, ExchangeOutcome.LineLost) == 1);
        int before = bench.Count(Capability.ReadPressure, ExchangeOutcome.Answered);
        using PseudoTerminal second = new(Link, TestInstruments.Answer);
        bench.WaitFor(() => bench.Count(Capability.ReadPressure, ExchangeOutcome.Answered) >= before + 5);
        Assert.Equal((2, 1), (bench.Driver.Openings, bench.Pump.Losses));
    }

    [Fact]
    public void The_cable_may_be_pulled_many_times()
    {
        using PumpBench bench = new(Link);
        bench.Driver.Poll(Capability.ReadPressure, 1);
        for (int i = 1; i <= 8; i++)
        {
            using PseudoTerminal terminal = new(Link, TestInstruments.Answer);
            int before = bench.Count(Capability.ReadPressure, ExchangeOutcome.Answered);
            bench.WaitFor(() => bench.Count(Capability.ReadPressure, ExchangeOutcome.Answered) > before + 3);
            terminal.Dispose();
            bench.WaitFor(() => bench.Driver.State == LinkState.Closed);
        }

        Assert.Equal(8, bench.Driver.Openings);
    }

    [Fact]
    [Trait("SR", "17")]
    public void Garbage_is_drained_and_the_next_reply_is_read()
    {
        int asked = 0;
        using PseudoTerminal terminal = new(Link, r => r == "P?" && ++asked == 3 ? "\u0001#!\r\n9" : TestInstruments.Answer(r));
        using PumpBench bench = new(Link);
        bench.Driver.Poll(Capability.ReadPressure, 1_000);
        bench.WaitFor(() => bench.Count(Capability.ReadPressure, ExchangeOutcome.Answered) >= 6);
        Assert.True(bench.Driver.Garbage > 0);
        Assert.All(bench.Taken(), r => Assert.True(r.Capability != Capability.ReadPressure || r.Outcome != ExchangeOutcome.Answered || r.Value == 12.345m));
    }

    [Fact]
    public void A_silent_instrument_times_out_and_is_lost()
    {
        using PseudoTerminal terminal = new(Link, _ => null);
        using PumpBench bench = new(Link, timeoutMicros: 200_000);
        bench.WaitFor(() => bench.Driver.State == LinkState.Lost);
        Assert.True(bench.Driver.TimeOuts > 0);
        Assert.True(bench.Count(Capability.Identify, ExchangeOutcome.TimedOut) > 0);
        terminal.Answer = TestInstruments.Answer;
        bench.WaitFor(() => bench.Driver.State == LinkState.Ready);
    }

    [Fact]
    public void What_was_written_before_the_port_was_opened_is_not_read()
    {
        using PseudoTerminal terminal = new(Link, TestInstruments.Answer);
        terminal.Write("99.9,bar\r\n");
        using PumpBench bench = new(Link);
        bench.WaitFor(() => bench.Driver.State == LinkState.Ready);
        Assert.Equal(0, bench.Driver.Garbage);
    }

    [Fact]
    public void A_missing_port_is_tried_until_it_appears_and_says_so_meanwhile()
    {
        using PumpBench bench = new(Link);
        bench.WaitFor(() => bench.Pump.Trouble.Contains("cannot be opened", StringComparison.Ordinal));
        Assert.Contains(Link, bench.Pump.Trouble, StringComparison.Ordinal);
        using PseudoTerminal terminal = new(Link, TestInstruments.Answer);
        bench.WaitFor(() => bench.Driver.State == LinkState.Ready);
    }

    [Fact]
    [Trait("SR", "12")]
    public void A_lapsed_lease_vents_on_a_real_line()
    {
        int vents = 0;
        using PseudoTerminal terminal = new(Link, r =>
        {
            if (r == "VENT")
                Interlocked.Increment(ref vents);
            return TestInstruments.Answer(r);
        });
        using PumpBench bench = new(Link);
        bench.WaitFor(() => bench.Driver.State == LinkState.Ready);
        bench.Pump.Renew(TimeProvider.System.NowMicros() + 100_000);
        bench.WaitFor(() => Volatile.Read(ref vents) > 0);
        Assert.Equal(ExchangeReport.LeaseTicket, bench.Taken().First(r => r.Capability == Capability.Vent).Ticket);
    }

    [Fact]
    public async Task A_tcp_peer_is_talked_to_and_found_again_after_it_closed()
    {
        using TcpListener listener = new(IPAddress.Loopback, 0);
        listener.Start();
        int port = ((IPEndPoint)listener.LocalEndpoint).Port;
        using PumpBench bench = new($"tcp://127.0.0.1:{port}");
        bench.Driver.Poll(Capability.ReadPressure, 1_000);
        for (int opening = 1; opening <= 2; opening++)
        {
            int before = bench.Count(Capability.ReadPressure, ExchangeOutcome.Answered);
            using Socket peer = await listener.AcceptSocketAsync();
            await ServeAsync(peer, answers: 10);
            bench.WaitFor(() => bench.Count(Capability.ReadPressure, ExchangeOutcome.Answered) >= before + 9);
            peer.Close();
            bench.WaitFor(() => bench.Pump.Losses == opening);
        }
    }

    [Theory]
    [InlineData("tcp://meter")]
    [InlineData("tcp://:5025")]
    [InlineData("tcp://meter:0")]
    [InlineData("tcp://meter:70000")]
    public void Rejects_a_tcp_address_without_host_or_port(string text)
    {
        Assert.False(LineAddress.TryParse(text, out _, out string error));
        Assert.Contains("write tcp://host:port", error, StringComparison.Ordinal);
    }

    private static async Task ServeAsync(Socket peer, int answers)
    {
        await using NetworkStream stream = new(peer);
        using StreamReader reader = new(stream);
        for (int i = 0; i < answers; i++)
        {
            string? request = await reader.ReadLineAsync();
            Assert.NotNull(request);
            if (TestInstruments.Answer(request) is { } reply)
                await stream.WriteAsync(System.Text.Encoding.ASCII.GetBytes(reply + "\r\n"));
        }
    }

    /// <summary>A pump with a driver, and the reports it brought.</summary>
    private sealed class PumpBench : IDisposable
    {
        private static readonly TimeSpan Patience = TimeSpan.FromSeconds(20);

        private readonly SemaphoreSlim _reported = new(0);
        private readonly List<ExchangeReport> _reports = [];

        public PumpBench(string port, long timeoutMicros = 2_000_000)
        {
            Driver = new InstrumentDriver(TestInstruments.Fitted(TestInstruments.Controller(timeoutMicros: timeoutMicros), port));
            Assert.True(LineAddress.TryParse(port, out LineAddress address, out string error), error);
            Pump = new LinePump([Driver], address, TimeProvider.System, () => _reported.Release());
            Pump.Start();
        }

        public InstrumentDriver Driver { get; }

        public LinePump Pump { get; }

        public List<ExchangeReport> Taken()
        {
            while (Driver.TryTake(out ExchangeReport report))
                _reports.Add(report);
            return _reports;
        }

        public int Count(Capability capability, ExchangeOutcome outcome) =>
            Taken().Count(r => r.Capability == capability && r.Outcome == outcome);

        public void WaitFor(Func<bool> condition)
        {
            TimeSpan end = TimeSpan.FromMilliseconds(Environment.TickCount64) + Patience;
            while (!condition())
            {
                _reported.Wait(20);
                if (TimeSpan.FromMilliseconds(Environment.TickCount64) > end)
                    Assert.Fail($"not within {Patience}: state {Driver.State}, trouble '{Pump.Trouble}', {_reports.Count} reports");
            }
        }

        public void Dispose()
        {
            Pump.Dispose();
            _reported.Dispose();
        }
    }
}
