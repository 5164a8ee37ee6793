using Barostep.Configuration;
using Barostep.Control;
using Barostep.Guard;
using Barostep.Instruments;
using Barostep.Lines.GuardLine;
using Barostep.Safety;
using Barostep.Simulators;
using Barostep.Simulators.Wire;
using Barostep.Tests.Configuration;

namespace Barostep.Tests.Guard;

/// <summary>The guard's cycle on a simulated bench in memory, on virtual time.</summary>
internal sealed class GuardRig : IDisposable
{
    private readonly (InstrumentDriver Driver, MemoryLine Line)[] _lines;
    private readonly long[] _deadlines;
    private readonly RigJournal _file = new();
    private uint _sequence;
    private long _nextCycle;

    public GuardRig()
    {
        WorkshopConfiguration workshop = FixedWorkshop.Load().Configuration;
        Definition = workshop.Benches["demo"];
        Bare = BenchSafety.LimitsFor(Definition, null, workshop.Origins);
        Device = workshop.Devices["transmitter-16bar"];
        WithDevice = BenchSafety.LimitsFor(Definition, Device, workshop.Origins);
        var source = new InstrumentDriver(Definition.Source!);
        var reference = new InstrumentDriver(Definition.Reference);
        var relay = new InstrumentDriver(Definition.DumpValve!);
        _lines = [.. new[] { relay, source, reference }.Select(driver => (driver, new MemoryLine(Bench.Port(driver.Fitted.Port))))];
        _deadlines = new long[_lines.Length];
        Journal = new SafetyJournal(_file, JournalHead.Genesis, wasLeftOpen: false);
        var stamp = new JournalStamp(0, 0);
        Journal.Write(stamp, new LimitsPayload("configuration", "the start", Bare));
        Journal.Write(stamp, new StatePayload(SafetyState.Initial));
        Half = new GuardHalf(Bare, SafetyState.Initial, source, reference, Definition.PeriodMicros, Journal, relay);
        Body = new GuardBody(Half, source, reference, Journal, 1, Desk, record => Told += record.Length, ["Ines Quandt"]);
    }

    public SimulatedBench Bench { get; } = SimulatedBench.Load("demo", 1);

    public BenchDefinition Definition { get; }

    public DeviceDefinition Device { get; }

    public SafetyLimits Bare { get; }

    public SafetyLimits WithDevice { get; }

    public GuardDesk Desk { get; } = new();

    public GuardHalf Half { get; }

    public GuardBody Body { get; }

    public SafetyJournal Journal { get; }

    public BenchSnapshot Last { get; private set; }

    /// <summary>What the guard's own cycles have allocated so far.</summary>
    public long StepAllocatedBytes { get; private set; }

    public uint Epoch { get; private set; }

    /// <summary>How late the guard is told that its cycles begin.</summary>
    public long LateMicros { get; set; }

    public long Told { get; private set; }

    /// <summary>What the sequencer wants, renewed before each cycle; null leaves what was left before.</summary>
    public (IntentKind Kind, Pressure Target)? Wanted { get; set; }

    public ReadOnlyMemory<byte> JournalBytes => _file.Contents;

    /// <summary>Everything that is in the journal by now.</summary>
    public List<JournalEntry> Entries()
    {
        using var stream = new MemoryStream(JournalBytes.ToArray());
        var reader = new JournalReader(stream);
        List<JournalEntry> entries = [.. reader.ReadAll()];
        Assert.Null(reader.Fault);
        return entries;
    }

    /// <summary>Passes time until something is seen, and fails after so many seconds of bench time.</summary>
    public void RunUntil(Predicate<BenchSnapshot> seen, double seconds = 120)
    {
        long until = Bench.NowMicros + (long)(seconds * 1e6);
        do
        {
            Assert.True(Bench.NowMicros < until, $"not seen within {seconds} s; the guard says {Last}");
            Cycle();
        }
        while (!seen(Last));
    }

    public void RunFor(double seconds)
    {
        long until = Bench.NowMicros + (long)(seconds * 1e6);
        RunUntil(_ => Bench.NowMicros >= until, seconds + 1);
    }

    /// <summary>One cycle, after the lines had their time.</summary>
    public void Cycle()
    {
        while (Bench.NowMicros < _nextCycle)
        {
            Bench.AdvanceTo(Math.Max(Bench.NowMicros, Math.Min(_nextCycle, Math.Min(Bench.NextEventMicros, _deadlines.Min()))));
            AdvanceLines();
        }

        if (Wanted is { } wanted)
            Desk.Leave(new Intent(Epoch, ++_sequence, wanted.Kind, wanted.Target, 50_000_000, Bench.NowMicros));
        long allocated = GC.GetAllocatedBytesForCurrentThread();
        Last = Body.Step(new CycleClock(Bench.NowMicros, Bench.NowMicros / 1000), LateMicros);
        StepAllocatedBytes += GC.GetAllocatedBytesForCurrentThread() - allocated;
        AdvanceLines();
        _nextCycle = Bench.NowMicros + Definition.PeriodMicros;
    }

    /// <summary>Lets time pass in which nobody calls the cycle, as in a process that is stopped; the lines are stopped too.</summary>
    public void Pause(double seconds)
    {
        Bench.AdvanceTo(Bench.NowMicros + (long)(seconds * 1e6));
        _nextCycle = Bench.NowMicros;
    }

    /// <summary>The same, while the lines' own threads go on.</summary>
    public void Hang(double seconds)
    {
        long until = Bench.NowMicros + (long)(seconds * 1e6);
        while (Bench.NowMicros < until)
        {
            AdvanceLines();
            Bench.AdvanceTo(Math.Min(until, Math.Max(Bench.NowMicros + 1000, Math.Min(Bench.NextEventMicros, _deadlines.Min()))));
        }

        _nextCycle = Bench.NowMicros;
    }

    public ReplyRecord BeginRun()
    {
        ReplyRecord reply = default;
        var order = new BeginRunRecord(1, "run 1", Device.Name, "five-point", "workshop", string.Empty, true);
        Desk.TryLeave(new BeginErrand(new PreparedRun(order, WithDevice, string.Empty), told => reply = told));
        Cycle();
        Epoch = reply.Epoch;
        return reply;
    }

    public ReplyRecord EndRun()
    {
        ReplyRecord reply = default;
        Desk.TryLeave(new EndErrand(new EndRunRecord(2, "run 1", "Completed"), told => reply = told));
        Cycle();
        return reply;
    }

    public ReplyRecord Ask(PersonRecord person)
    {
        ReplyRecord reply = default;
        Desk.TryLeave(new PersonErrand(person, told => reply = told));
        Cycle();
        return reply;
    }

    public ReplyRecord Do(AlarmRecord alarm)
    {
        ReplyRecord reply = default;
        Desk.TryLeave(new AlarmErrand(alarm, told => reply = told));
        Cycle();
        return reply;
    }

    /// <summary>Brings the bench to a pressure, in bar gauge, in a run.</summary>
    public void Pressurise(double bar)
    {
        RunUntil(seen => seen.Phase == GuardPhase.Safe);
        Assert.True(BeginRun().Accepted);
        TestDumpValve();
        Pressure target = Bare.Atmosphere + PressureDifference.FromPascals(bar * 1e5);
        Wanted = (IntentKind.Pressurise, target);
        RunUntil(seen => seen.Phase == GuardPhase.Permitted && (seen.Reference.Value - target).Magnitude().Pascals < 2000);
    }

    /// <summary>Lets the guard test the dump valve, as a run does that has found its instruments.</summary>
    public void TestDumpValve()
    {
        Wanted = (IntentKind.Vent, Pressure.Vacuum);
        RunUntil(seen => seen.DumpTest is not DumpTestState.Running);
        Assert.Equal(DumpTestState.Passed, Last.DumpTest);
        RunUntil(seen => seen.Phase == GuardPhase.Safe);
    }

    public void Dispose() => Journal.Dispose();

    private void AdvanceLines()
    {
        for (int i = 0; i < _lines.Length; i++)
            _deadlines[i] = _lines[i].Driver.Advance(Bench.NowMicros, _lines[i].Line);
    }

    /// <summary>A journal in memory with room enough from the start.</summary>
    private sealed class RigJournal : JournalFile
    {
        private readonly byte[] _bytes = new byte[32 << 20];
        private int _length;
        private long _flushes;

        public override bool HasFailed => false;

        public override long FlushesDone => _flushes;

        public ReadOnlyMemory<byte> Contents => _bytes.AsMemory(0, _length);

        public override void Append(ReadOnlySpan<byte> appended)
        {
            appended.CopyTo(_bytes.AsSpan(_length));
            _length += appended.Length;
        }

        public override long RequestFlush() => ++_flushes;

        protected override void Dispose(bool disposing)
        {
        }
    }

    private sealed class MemoryLine(SimulatedPort port) : IByteLine
    {
        public bool IsOpen => port.Connected;

        public int Receive(Span<byte> buffer) => port.HostRead(buffer);

        public bool Send(ReadOnlySpan<byte> bytes)
        {
            port.HostWrite(bytes);
            return port.Connected;
        }
    }
}
