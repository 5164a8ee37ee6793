using System.Globalization;
using Barostep.Simulators;

namespace Barostep.Tests.Simulators;

public class FaultTests
{
    private const string Identity = "SIMULATED,CONTROLLER,SC-01042,1.0";

    private readonly SimulatedBench _bench = DemoBench.Load(1);
    private readonly Host _controller;
    private readonly Host _reference;

    public FaultTests()
    {
        _bench.AdvanceTo(100_000);
        _controller = new Host(_bench, "controller");
        _reference = new Host(_bench, "reference", '\r');
    }

    private double GaugePa => _bench.Truth.PressurePa - _bench.Truth.AtmospherePa;

    [Fact]
    public void Silence_takes_the_next_replies_and_no_more()
    {
        _bench.Inject("fault controller silence 2");
        Assert.Equal(["", "", Identity], [Ask(), Ask(), Ask()]);
    }

    [Fact]
    public void Garble_changes_one_byte()
    {
        _bench.Inject("fault controller garble 1");
        _controller.Send("*IDN?");
        _bench.AdvanceTo(_bench.NowMicros + 100_000);
        byte[] buffer = new byte[64];
        int count = _controller.Port.HostRead(buffer);
        string reply = System.Text.Encoding.Latin1.GetString(buffer, 0, count);
        Assert.Equal((Identity + "\n").Length, count);
        Assert.Equal(1, reply.Zip(Identity + "\n").Count(pair => pair.First != pair.Second));
        Assert.Equal(Identity, Ask());
    }

    [Fact]
    public void Truncate_duplicate_merge_and_late_do_what_they_say()
    {
        _bench.Inject("fault controller truncate 1");
        Assert.Equal((Identity + "\n")[..((Identity.Length + 1) / 2)], Ask());
        _bench.Inject("fault controller duplicate 1");
        Assert.Equal(Identity, Ask());
        Assert.Equal(Identity, _controller.Listen(100_000));
        _bench.Inject("fault controller merge 1");
        Assert.Equal(Identity, Ask());
        Assert.Equal("1999.0", _controller.Ask("SYST:VERS?"));
        _bench.Inject("fault controller late 2");
        Assert.Equal("", Ask());
        Assert.Equal(Identity, _controller.Ask("SYST:VERS?"));
        Assert.Equal("VENT", _controller.Ask("SOUR:MODE?"));
    }

    [Fact]
    public void Delay_and_echo_show_on_the_line()
    {
        long before = _bench.NowMicros;
        Assert.Equal(Identity, Ask());
        long healthy = _bench.NowMicros - before;
        _bench.Inject("fault controller delay 300");
        before = _bench.NowMicros;
        Assert.Equal(Identity, _controller.Ask("*IDN?"));
        Assert.Equal(healthy + 300_000, _bench.NowMicros - before, 2.0);
        _bench.Inject("fault clear");
        _bench.Inject("fault controller echo on");
        Assert.Equal("*IDN?", Ask());
        Assert.Equal(Identity, _controller.Listen());
    }

    [Fact]
    public void Garbage_floods_an_idle_line_and_ends()
    {
        _bench.Inject("fault reference garbage 100");
        _bench.AdvanceTo(_bench.NowMicros + 1_000_000);
        byte[] buffer = new byte[1024];
        Assert.InRange(_reference.Port.HostRead(buffer), 98, 101);
        _bench.Inject("fault reference garbage 0");
        _bench.AdvanceTo(_bench.NowMicros + 1_000_000);
        Assert.InRange(_reference.Port.HostRead(buffer), 0, 1);
    }

    [Fact]
    public void A_flood_beyond_the_line_leaves_no_backlog()
    {
        _bench.Inject("fault controller garbage 50000");
        _bench.AdvanceTo(_bench.NowMicros + 1_000_000);
        byte[] buffer = new byte[4096];
        Assert.InRange(_controller.Port.HostRead(buffer), 1_800, 1_920);
        _bench.Inject("fault controller garbage 0");
        _bench.AdvanceTo(_bench.NowMicros + 10_000);
        _controller.Port.HostRead(buffer);
        Assert.Equal(Identity, Ask());
    }

    [Fact]
    public void Random_bytes_never_stop_an_instrument_from_answering()
    {
        Barostep.Simulators.Instruments.Pcg32 random = new(5, 5);
        const string Likely = ">07PWBGAEIU\r\n*?:;, SOURPRESTAG0123456789.+-e";
        byte[] bytes = new byte[20_000];
        foreach (Barostep.Simulators.Wire.SimulatedPort port in _bench.Ports)
        {
            for (int i = 0; i < bytes.Length; i++)
            {
                bytes[i] = random.NextBelow(8) == 0 ? (byte)random.Next() : (byte)Likely[random.NextBelow(Likely.Length)];
            }

            port.HostWrite(bytes);
        }

        _bench.AdvanceTo(60_000_000);
        byte[] buffer = new byte[100_000];
        foreach (Barostep.Simulators.Wire.SimulatedPort port in _bench.Ports)
        {
            port.HostRead(buffer);
        }

        _controller.Send(string.Empty);
        Assert.Equal(Identity, Ask());
        Assert.StartsWith("<07IINDIC", _reference.Ask(">07IEE"), StringComparison.Ordinal);
    }

    [Fact]
    public void A_pulled_cable_is_silent_until_it_is_back()
    {
        _bench.Inject("fault controller disconnect");
        Assert.False(_controller.Port.Connected);
        Assert.Equal("", Ask());
        _bench.Inject("fault controller reconnect");
        Assert.Equal(Identity, Ask());
    }

    [Fact]
    public void At_another_speed_the_host_gets_noise()
    {
        _bench.Inject("fault controller wrong-speed on");
        Assert.NotEqual(Identity, Ask());
        _bench.Inject("fault controller wrong-speed off");
        Assert.EndsWith(Identity, Ask(), StringComparison.Ordinal);
    }

    [Fact]
    public void Swapped_ports_answer_for_each_other_until_cleared()
    {
        _bench.Inject("fault ports swap controller multimeter");
        Assert.Equal("SIMULATED,MULTIMETER,SM-03310,1.0", Ask());
        Assert.Equal(Identity, new Host(_bench, "multimeter").Ask("*IDN?"));
        _bench.Inject("fault clear");
        Assert.Equal(Identity, Ask());
    }

    [Fact]
    public void Sensor_faults_change_what_is_told_and_not_what_is()
    {
        Pressurise(8);
        double healthy = Told();
        _bench.Inject("fault reference sensor gain 0.9");
        Run(0.1);
        Assert.Equal(0.9 * healthy, Told(), 0.01);
        _bench.Inject("fault reference sensor gain 1");
        _bench.Inject("fault reference sensor offset 0.25 bar");
        Run(0.1);
        Assert.Equal(healthy + 0.25, Told(), 0.01);
        _bench.Inject("fault clear");
        _bench.Inject("fault reference sensor freeze on");
        double frozen = Told();
        _controller.Send("SOUR:MODE VENT");
        Run(10);
        Assert.Equal(frozen, Told());
        Assert.True(GaugePa < 1e5);
        _bench.Inject("fault clear");
        Run(0.1);
        Assert.Equal(GaugePa / 1e5, Told(), 0.01);
        _bench.Inject("fault reference sensor drift 100 Pa");
        Run(10);
        Assert.Equal((GaugePa / 1e5) + 0.01, Told(), 0.001);
    }

    [Fact]
    public void A_unit_changed_at_the_panel_shows_in_the_reply()
    {
        _bench.Inject("fault controller unit psi absolute");
        Assert.EndsWith(",PSI,ABS", _controller.Ask("MEAS:PRES?"), StringComparison.Ordinal);
    }

    [Fact]
    public void A_controller_that_ignores_answers_and_does_not_act()
    {
        _bench.Inject("fault controller ignore on");
        Assert.Equal("CONT", _controller.Ask("SOUR:PRES:TARG 5;:SOUR:MODE CONT;MODE?"));
        Run(5);
        Assert.Equal(0, GaugePa, 10.0);
    }

    [Fact]
    public void A_stuck_fill_valve_fills_and_a_stuck_vent_valve_traps()
    {
        Pressurise(4);
        _bench.Inject("fault plant vent stuck 0");
        _controller.Send("SOUR:MODE VENT");
        Run(10);
        Assert.True(GaugePa > 3.5e5);
        _bench.Inject("fault plant fill stuck 0.5");
        Run(12);
        Assert.True(GaugePa > 5.5e5);
        _bench.Inject("fault clear");
        Run(30);
        Assert.Equal(0, GaugePa, 10.0);
    }

    [Fact]
    public void Leak_supply_and_volume_work_on_the_gas()
    {
        Pressurise(8);
        _controller.Send("SOUR:MODE HOLD");
        Run(1);
        double before = GaugePa;
        _bench.Inject("fault plant volume 0.03");
        Assert.Equal(before, GaugePa, 1e-3);
        _bench.Inject("fault plant volume off");
        _bench.Inject("fault plant leak 1e-10");
        Run(5);
        Assert.True(GaugePa < 0.9 * before);
        _bench.Inject("fault plant leak off");
        _bench.Inject("fault plant supply 0 bar gauge");
        _controller.Send("SOUR:MODE CONT");
        Run(90);
        Assert.True(GaugePa < 1e5);
    }

    [Fact]
    public void A_scheduled_fault_strikes_at_its_time()
    {
        _bench.Inject("at 2 fault plant fill stuck 1");
        _bench.AdvanceTo(1_999_999);
        Assert.Equal(0, _bench.Truth.FillOpening);
        _bench.AdvanceTo(2_001_000);
        Assert.Equal(1, _bench.Truth.FillOpening);
    }

    private string Ask() => _controller.Ask("*IDN?", 200_000);

    private double Told() => double.Parse(_reference.Ask(">07PF5").AsSpan(4, 11), CultureInfo.InvariantCulture);

    private void Pressurise(double bar)
    {
        _controller.Send($"SOUR:PRES:TARG {bar.ToString(CultureInfo.InvariantCulture)};:SOUR:MODE CONT");
        Run(bar + 8);
        Assert.Equal(bar * 1e5, GaugePa, 1000.0);
    }

    private void Run(double seconds) => _bench.AdvanceTo(_bench.NowMicros + (long)(seconds * 1e6));
}
