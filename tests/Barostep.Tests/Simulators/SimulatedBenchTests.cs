using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using Barostep.Simulators;
using Barostep.Simulators.Faults;

namespace Barostep.Tests.Simulators;

public class SimulatedBenchTests
{
    [Fact]
    public void One_seed_brings_the_same_bytes_and_the_same_truth_and_another_seed_others()
    {
        string first = Trace(42, 50_000);
        Assert.Equal(first, Trace(42, 50_000));
        Assert.NotEqual(first, Trace(43, 50_000));
    }

    [Fact]
    public void How_far_time_is_advanced_at_once_changes_nothing() => Assert.Equal(Trace(42, 50_000), Trace(42, 333));

    [Fact]
    public void A_reply_arrives_whole_at_the_end_of_its_last_byte()
    {
        SimulatedBench bench = DemoBench.Load(1);
        bench.AdvanceTo(100_000);
        bench.Port("reference").HostWrite(">07RF7\r"u8);
        // 7 request and 11 reply bytes of ten bits at 9600 baud, 2 ms turnaround between.
        long arrives = 100_000 + ((7 + 11) * 10_000_000L / 9600) + 2_000;
        byte[] buffer = new byte[64];
        while (bench.NextEventMicros <= arrives - 2)
        {
            bench.AdvanceTo(bench.NextEventMicros);
            Assert.Equal(0, bench.Port("reference").HostRead(buffer));
        }

        Assert.InRange(bench.NextEventMicros, arrives, arrives + 2);
        bench.AdvanceTo(bench.NextEventMicros);
        Assert.Equal(11, bench.Port("reference").HostRead(buffer));
        Assert.Equal(long.MaxValue, bench.NextEventMicros);
    }

    [Fact]
    public void Bytewise_delivery_spreads_the_reply_over_its_time()
    {
        BenchDescription demo = DemoBench.Description;
        SimulatedBench bench = new(demo with { Instruments = [.. demo.Instruments.Select(i => i with { PerByte = true })] }, 1);
        bench.AdvanceTo(100_000);
        bench.Port("controller").HostWrite("*IDN?\n"u8);
        List<long> times = [];
        byte[] buffer = new byte[64];
        while (bench.NextEventMicros != long.MaxValue)
        {
            bench.AdvanceTo(bench.NextEventMicros);
            for (int i = bench.Port("controller").HostRead(buffer); i > 0; i--)
            {
                times.Add(bench.NowMicros);
            }
        }

        Assert.Equal("SIMULATED,CONTROLLER,SC-01042,1.0\n".Length, times.Count);
        Assert.Equal((times.Count - 1) * 10_000_000.0 / 19200, times[^1] - times[0], 2.0);
        Assert.Equal(times.Count, times.Distinct().Count());
    }

    [Fact]
    public void Reference_and_multimeter_tell_the_truth_within_their_errors()
    {
        SimulatedBench bench = new(DemoBench.Description.WithDeviceErrors(new DeviceErrors(0.20, -0.35)), 7);
        bench.AdvanceTo(100_000);
        new Host(bench, "controller").Send("SOUR:PRES:TARG 8;:SOUR:MODE CONT");
        bench.AdvanceTo(30_000_000);
        double gauge = (bench.Truth.PressurePa - bench.Truth.AtmospherePa) / 1e5;
        double told = double.Parse(new Host(bench, "reference", '\r').Ask(">07PF5").AsSpan(4, 11), CultureInfo.InvariantCulture);
        double amperes = double.Parse(new Host(bench, "multimeter").Ask("MEAS:CURR?"), CultureInfo.InvariantCulture);
        Assert.Equal(gauge, told, 0.001);
        // Half range: error 0.20 - 0.35/2 per cent of 16 mA; the reading adds 12 ppm, 0.05 uA and noise.
        Assert.Equal(4e-3 + (16e-3 * ((gauge / 16) + 0.00025)), amperes, 1.5e-6);
    }

    [Fact]
    public void The_gauge_bench_reads_its_gauge_in_the_fixed_width_dialect()
    {
        SimulatedBench bench = SimulatedBench.Load("gauge", 1);
        bench.AdvanceTo(300_000);
        Assert.StartsWith("<12IGAUGESG-005181.0", new Host(bench, "gauge", '\r').Ask(">12IEA"));
        Assert.Equal("SIMULATED,INDICATOR,SI-02077,1.0", new Host(bench, "reference").Ask("*IDN?"));
        // Zero error 0.05 % of 16 bar is 800 Pa, told in steps of 100 Pa.
        double told = double.Parse(new Host(bench, "gauge", '\r').Ask(">12PF1").AsSpan(4, 11), CultureInfo.InvariantCulture);
        Assert.Equal(0.008, told, 0.0021);
    }

    [Fact]
    public void Truth_is_sampled_at_every_multiple_of_its_interval()
    {
        SimulatedBench bench = DemoBench.Load(1);
        List<long> times = [];
        bench.SampleTruth(20_000, s => times.Add(s.TimeMicros));
        bench.AdvanceTo(1_000_000);
        Assert.Equal(Enumerable.Range(1, 50).Select(i => i * 20_000L), times);
    }

    [Theory]
    [InlineData("nonsense", "is not a fault line")]
    [InlineData("fault nowhere silence on", "there is no port 'nowhere'")]
    [InlineData("fault controller silence maybe", "count of replies")]
    [InlineData("fault controller fly on", "is no fault of 'controller'")]
    [InlineData("fault multimeter sensor freeze on", "is no fault of 'multimeter'")]
    [InlineData("fault plant supply 5 bar", "no pressure")]
    [InlineData("fault plant fill stuck 2", "from 0 to 1")]
    [InlineData("fault reference sensor offset 3", "no pressure difference")]
    [InlineData("at soon fault clear", "seconds")]
    public void A_fault_line_that_is_not_understood_says_why(string line, string why)
    {
        SimulatedBench bench = DemoBench.Load(1);
        Assert.Contains(why, Assert.Throws<FaultLineException>(() => bench.Inject(line)).Message, StringComparison.Ordinal);
    }

    // Everything that a host and a checker can see of 20 s with polls, a step and random faults.
    private static string Trace(ulong seed, long stepMicros)
    {
        SimulatedBench bench = DemoBench.Load(seed);
        using IncrementalHash hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        bench.SampleTruth(10_000, s => hash.AppendData(Encoding.ASCII.GetBytes(s.ToString())));
        bench.Inject("at 5 fault reference garble on");
        bench.Inject("at 6 fault controller garbage 50");
        byte[] buffer = new byte[256];
        for (long poll = 100_000; poll < 20_000_000; poll += 100_000)
        {
            Advance(poll);
            bench.Port("controller").HostWrite(poll == 1_000_000 ? "SOUR:PRES:TARG 6;:SOUR:MODE CONT\n"u8 : "SOUR:STAT?\n"u8);
            bench.Port("reference").HostWrite(">07PF5\r"u8);
            bench.Port("multimeter").HostWrite("MEAS:CURR?\n"u8);
        }

        return Convert.ToHexString(hash.GetHashAndReset());

        void Advance(long until)
        {
            while (bench.NowMicros < until)
            {
                bench.AdvanceTo(Math.Min(until, bench.NowMicros + stepMicros));
            }

            foreach (Barostep.Simulators.Wire.SimulatedPort port in bench.Ports)
            {
                hash.AppendData(buffer.AsSpan(0, port.HostRead(buffer)));
            }
        }
    }
}
