using System.Diagnostics;
using Barostep.Configuration;
using Barostep.Instruments;
using Barostep.Lines;
using Barostep.Tests.Certificates;
using Barostep.Tests.Instruments;
using Barostep.Tests.Repository;

namespace Barostep.Tests.Peers;

/// <summary>Our Modbus master against a general-purpose server that knows nothing of us: Debian's python3-pymodbus.</summary>
public sealed class ModbusPeerTests : IDisposable
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(30);

    private readonly string _folder = Directory.CreateTempSubdirectory("barostep-peer-").FullName;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [ModbusPeerFact]
    public void Over_tcp_registers_are_read_and_written_and_an_exception_is_told()
    {
        using var peer = new Peer("tcp");
        Talk("tcp", $"tcp://127.0.0.1:{peer.Ready.Split(' ')[1]}");
    }

    [ModbusPeerFact]
    public void Over_a_pseudo_terminal_registers_are_read_and_written_and_an_exception_is_told()
    {
        string link = Path.Combine(_folder, "gauge");
        using var peer = new Peer("rtu", link);
        Talk("rtu", link);
    }

    private static void Talk(string transport, string port)
    {
        var driver = new InstrumentDriver(new FittedInstrument(Definition(transport), port, null, null, 0));
        Assert.True(LineAddress.TryParse(port, out LineAddress address, out string error), error);
        using var reported = new SemaphoreSlim(0);
        using var pump = new LinePump([driver], address, TimeProvider.System, () => reported.Release());
        pump.Start();

        ExchangeReport pressure = Ask(Capability.ReadPressure, 0);
        Assert.Equal((ExchangeOutcome.Answered, 12.5m), (pressure.Outcome, pressure.Value));
        Assert.Contains("PEER GAUGE", driver.IdentityText.Length == 0 ? string.Empty : Printable(driver.IdentityText), StringComparison.Ordinal);

        ExchangeReport written = Ask(Capability.WriteSetPoint, 3.25m);
        Assert.Equal((ExchangeOutcome.Answered, 3.25m), (written.Outcome, written.Value));
        Assert.Equal(3.25m, Ask(Capability.ReadSetPoint, 0).Value);
        Assert.Equal(ExchangeOutcome.Answered, Ask(Capability.Control, 0).Outcome);
        Assert.Equal(2m, Ask(Capability.ReadRestart, 0).Value);
        // A register that the server does not have: exception 2, and no reading.
        ExchangeReport beyond = Ask(Capability.ReadError, 0);
        Assert.Equal(ExchangeOutcome.Garbled, beyond.Outcome);
        Assert.Contains("\\x83\\x02", beyond.Reply.ToString(), StringComparison.Ordinal);

        ExchangeReport Ask(Capability capability, decimal value)
        {
            long ticket = 1 + (long)capability;
            driver.Command(capability, value, CommandUrgency.Normal, ticket);
            long began = Stopwatch.GetTimestamp();
            while (Stopwatch.GetElapsedTime(began) < Patience)
            {
                reported.Wait(20);
                while (driver.TryTake(out ExchangeReport report))
                {
                    if (report.Ticket == ticket && report.Outcome == ExchangeOutcome.LineLost)
                        driver.Command(capability, value, CommandUrgency.Normal, ticket);
                    else if (report.Ticket == ticket)
                        return report;
                }
            }

            throw new TimeoutException($"no answer to {capability}: {driver.State}, {pump.Trouble}");
        }
    }

    private static string Printable(string hex) => System.Text.Encoding.ASCII.GetString(Convert.FromHexString(hex));

    private static InstrumentDefinition Definition(string transport) => Definitions.Read($$"""
        title = "A server of registers"
        role = "controller"
        range_to = "100 bar gauge"
        identity = { expect = { model = "PEER GAUGE" } }
        modbus = { transport = "{{transport}}", address = 7 }
        line = { baud = 19200, data_bits = 8, parity = "none", stop_bits = 1 }

        [exchange]
        identify = { function = "read holding", register = 0, reply = "{model:text:16}", timeout = "1 s", retries = 2 }
        read_pressure = { function = "read input", register = 16, reply = "{value:float32}", unit = "bar", reference = "gauge", timeout = "1 s", retries = 2 }
        read_set_point = { function = "read holding", register = 20, reply = "{value:float32:cdab}", unit = "bar", reference = "gauge", timeout = "1 s", retries = 2 }
        write_set_point = { function = "write several", register = 20, request = "{value:float32:cdab}", unit = "bar", reference = "gauge", timeout = "1 s" }
        control = { function = "write one", register = 22, request = "{2:uint16}", timeout = "1 s" }
        vent = { function = "write one", register = 22, request = "{0:uint16}", timeout = "1 s" }
        read_restart = { function = "read holding", register = 22, reply = "{value:uint16}", timeout = "1 s", retries = 2 }
        read_error = { function = "read holding", register = 5000, reply = "{value:uint16}", timeout = "1 s" }
        """);

    private sealed class Peer : IDisposable
    {
        private readonly Process _process;

        public Peer(params string[] arguments)
        {
            string script = Path.Combine(RepositoryPaths.Root, "tests", "Barostep.Tests", "Peers", "modbus_server.py");
            _process = Process.Start(new ProcessStartInfo(ModbusPeerFactAttribute.Python, [script, .. arguments])
            {
                RedirectStandardInput = true,
                RedirectStandardOutput = true,
            })!;
            Ready = _process.StandardOutput.ReadLine() ?? throw new InvalidOperationException("the peer did not start");
        }

        public string Ready { get; }

        public void Dispose()
        {
            _process.StandardInput.Close();
            _process.WaitForExit();
            _process.Dispose();
        }
    }
}

/// <summary>Runs where Debian's pymodbus is installed and in CI, where its absence is a failure; skipped elsewhere.</summary>
internal sealed class ModbusPeerFactAttribute : FactAttribute
{
    /// <summary>Debian's own, whatever else is called so.</summary>
    public const string Python = "/usr/bin/python3";

    public ModbusPeerFactAttribute() => Skip = ExternalTool.InCi || IsInstalled ? null : "python3-pymodbus is not installed here";

    private static bool IsInstalled => File.Exists(Python) && ExternalTool.Run(Python, "-c", "import pymodbus").ExitCode == 0;
}
