using System.Globalization;
using System.Text;
using Barostep.Control;
using Barostep.Daemon.Simulation;
using Barostep.Daemon.Simulation.Faults;
using Barostep.Guard;
using Barostep.Instruments;
using Barostep.Lines.GuardLine;
using Barostep.Procedures;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Tests.Simulation;

/// <summary>One thing in the program's behaviour that is wrong on purpose, made between its parts.</summary>
/// <param name="Name">What is wrong.</param>
/// <param name="Make">Makes it anew for each world: some of them remember.</param>
/// <param name="Kinds">The kinds of fault among which the swarm draws; none for all.</param>
internal sealed record Mutant(string Name, Func<Seams> Make, params string[] Kinds)
{
    public static readonly IReadOnlyList<Mutant> All =
    [
        new("a silent reference's last answer is given again", static () => new LastAnswerAgain(), "reference-silence"),
        new("the unit letter of an answer is taken for bar", static () => new UnitLetterIgnored(), "reference-unit"),
        new("a timer sends the keep-alive", static () => new KeepAliveByTimer()),
        new("the dump valve is kept shut after a trip", static () => new KeepAliveAfterTrip()),
        new("a vent waits for the disk", static () => new VentAfterDisk(), "disk-slow", "dump-pressed", "multimeter-silence"),
        new("a raise does not wait for the disk", static () => new RaiseBeforeDisk(), "disk-slow", "flush-fails"),
        new("the journal leaves an entry out", static () => new JournalWithGap()),
        new("a point is read before it has settled", static () => new ReadUnsettled()),
        new("a latched trip is forgotten at a restart", static () => new LatchForgotten()),
        new("an unclean stop is not noticed", static () => new UncleanStopUnseen()),
        new("a wish to vent is lost", static () => new WishLost()),
        new("a trip acknowledges itself", static () => new ResetByItself()),
        new("no limit of the pressure itself is compared", static () => new LimitsChanged(static limits => WithCeiling(limits, 19)), "fill-stuck-open", "controller-gain"),
        new("the two sensors are not compared", static () => new LimitsChanged(static limits => limits with { DisagreeingPairs = int.MaxValue }), "reference-span"),
        new("safe at once, and in a wide band", static () => new LimitsChanged(static limits => limits with { SafeAfterMicros = 0, SafeBand = PressureDifference.FromPascals(50_000) })),
        new("the sequencer's silence is not noticed", static () => new LimitsChanged(static limits => limits with { IntentLapsesAfterMicros = long.MaxValue / 2 }), "daemon-paused"),
        new("a set point above the margin is asked for and let through", static () => new SetPointTooHigh()),
        new("the rate is not limited", static () => new RateTooHigh()),
        new("the lease reaches ten seconds ahead", static () => new LimitsChanged(static limits => limits with { LeaseMicros = 10_000_000 })),
        new("time is taken from the wall clock", static () => new WallForMonotonic()),
        new("every vent is called confirmed", static () => new RecordChanged(static record => record with { VentConfirmed = true })),
        new("a reading is recorded one per cent too high", static () => new RecordChanged(ReadTooHigh)),
        new("the last point of a run is lost", static () => new RecordChanged(static record => record with { Points = [.. record.Points.SkipLast(1)] })),
        new("pressure holds are not told to the source", static () => new VentNotSaid()),
    ];

    /// <summary>Runs one world of the swarm with it.</summary>
    public SeedResult Run(BenchSource source, ulong seed)
    {
        IReadOnlyList<FaultKind> kinds = Kinds.Length == 0 ? FaultCatalogue.All : [.. Kinds.Select(FaultCatalogue.Named)];
        return SeedRun.Of(source, new WorldPlan(seed, FaultDraw.Swarm(seed, kinds)), Make());
    }

    private static SafetyLimits WithCeiling(SafetyLimits limits, double barGauge) =>
        new(
            [.. limits.Contributions.Select(one => one with { Ceiling = one.Ceiling is null ? null : limits.Atmosphere + PressureDifference.FromPascals(barGauge * 1e5) })],
            limits.Atmosphere,
            limits.MaxRateMilliPascalsPerSecond * 10)
        {
            ReferenceStaleAfterMicros = limits.ReferenceStaleAfterMicros,
            ReferenceLateAfterMicros = limits.ReferenceLateAfterMicros,
            LongestGapMicros = limits.LongestGapMicros,
            IntentLapsesAfterMicros = limits.IntentLapsesAfterMicros,
            LeaseMicros = limits.LeaseMicros,
            VentTimeConstantMicros = limits.VentTimeConstantMicros,
            AgreementTolerance = PressureDifference.FromPascals(2e6),
            NearBand = limits.NearBand,
            StrayBand = PressureDifference.FromPascals(2e6),
            SetPointMargin = limits.SetPointMargin,
            SourceUpperLimit = limits.SourceUpperLimit,
        };

    private static RunRecord ReadTooHigh(RunRecord record) => record with
    {
        Points = [.. record.Points.Select(point => point with
        {
            Samples = [.. point.Samples.Select(sample => sample with { Reference = sample.Reference with { Value = sample.Reference.Value * 1.01 } })],
        })],
    };

    private sealed class LimitsChanged(Func<SafetyLimits, SafetyLimits> change) : Seams
    {
        public override SafetyLimits Limits(SafetyLimits limits) => change(limits);
    }

    private sealed class RecordChanged(Func<RunRecord, RunRecord> change) : Seams
    {
        public override RunRecord Record(RunRecord record) => change(record);
    }

    private sealed class SetPointTooHigh : Seams
    {
        public override SafetyLimits Limits(SafetyLimits limits) => limits with { SetPointMargin = PressureDifference.FromPascals(-1e6), SourceUpperLimit = null };

        public override Intent Intent(Intent intent) => intent.Kind == IntentKind.Pressurise && intent.Target > Pressure.FromPascals(2e5)
            ? intent with { Target = intent.Target + PressureDifference.FromPascals(1.5e5) }
            : intent;
    }

    private sealed class RateTooHigh : Seams
    {
        public override SafetyLimits Limits(SafetyLimits limits) =>
            new SafetyLimits(limits.Contributions, limits.Atmosphere, limits.MaxRateMilliPascalsPerSecond * 10)
            {
                LongestGapMicros = limits.LongestGapMicros,
                VentTimeConstantMicros = limits.VentTimeConstantMicros,
                SourceUpperLimit = limits.SourceUpperLimit,
                AgreementTolerance = new PressureDifference(limits.AgreementTolerance.MilliPascals * 20),
            };

        public override Intent Intent(Intent intent) => intent with { RateMilliPascalsPerSecond = intent.RateMilliPascalsPerSecond * 10 };
    }

    private sealed class ReadUnsettled : Seams
    {
        public override Procedure Procedure(Procedure procedure) => procedure with
        {
            Settle = procedure.Settle with { BandOfSpan = 0.1, WindowMicros = 200_000, SlopeOfSpanPerSecond = 10, MinimumDwellMicros = 0 },
        };
    }

    private sealed class LatchForgotten : Seams
    {
        public override SafetyState Start(SafetyState found) => SafetyState.Initial;

        public override bool WasLeftOpen(bool found) => false;
    }

    private sealed class UncleanStopUnseen : Seams
    {
        public override bool WasLeftOpen(bool found) => false;
    }

    private sealed class WishLost : Seams
    {
        public override bool Hears(PersonRequestKind kind) => kind is not (PersonRequestKind.Stop or PersonRequestKind.Dump);
    }

    private sealed class ResetByItself : Seams
    {
        public override void BeforeCycle(World world)
        {
            BenchSnapshot last = world.Guard.Last;
            if (last is { Phase: GuardPhase.Tripped, Depressurised: true })
                world.Guard.Desk.TryLeave(new PersonErrand(new PersonRecord(99, PersonRequestKind.Acknowledge, last.TripNumber, Pressure.Vacuum, "nobody", "by itself"), static _ => { }));
        }
    }

    private sealed class WallForMonotonic : Seams
    {
        private long _firstMillis;

        public override CycleClock Clock(CycleClock clock, World world)
        {
            _firstMillis = _firstMillis == 0 ? clock.WallMillis - (clock.NowMicros / 1000) : _firstMillis;
            return clock with { NowMicros = (clock.WallMillis - _firstMillis) * 1000 };
        }
    }

    private sealed class RaiseBeforeDisk : Seams
    {
        public override JournalFile Journal(JournalFile file, World world) => new Eager(file);

        private sealed class Eager(JournalFile file) : WrappedJournal(file)
        {
            public override long FlushesDone => long.MaxValue;
        }
    }

    private sealed class JournalWithGap : Seams
    {
        public override JournalFile Journal(JournalFile file, World world) => new Gap(file);

        private sealed class Gap(JournalFile file) : WrappedJournal(file)
        {
            private int _appends;

            public override void Append(ReadOnlySpan<byte> bytes)
            {
                if (++_appends != 150)
                    base.Append(bytes);
            }
        }
    }

    private class WrappedJournal(JournalFile file) : JournalFile
    {
        public override bool HasFailed => file.HasFailed;

        public override long FlushesDone => file.FlushesDone;

        public override void Append(ReadOnlySpan<byte> bytes) => file.Append(bytes);

        public override long RequestFlush() => file.RequestFlush();

        protected override void Dispose(bool disposing) => file.Dispose();
    }

    private abstract class LineSeams(string port) : Seams
    {
        public override IByteLine Line(string name, IByteLine line, World world) => name == port ? Wrap(line, world) : line;

        protected abstract IByteLine Wrap(IByteLine line, World world);
    }

    private abstract class WrappedLine(IByteLine line) : IByteLine
    {
        public bool IsOpen => line.IsOpen;

        public virtual int Receive(Span<byte> buffer) => line.Receive(buffer);

        public virtual bool Send(ReadOnlySpan<byte> bytes) => line.Send(bytes);
    }

    private sealed class LastAnswerAgain() : LineSeams("reference")
    {
        protected override IByteLine Wrap(IByteLine line, World world) => new Again(line, world);

        // A question that was not answered for so long is answered with what was said last.
        private sealed class Again(IByteLine line, World world) : WrappedLine(line)
        {
            private const long PatienceMicros = 140_000;

            private byte[] _last = [];
            private long _askedMicros = long.MaxValue;

            public override bool Send(ReadOnlySpan<byte> bytes)
            {
                _askedMicros = bytes.Length > 3 && bytes[3] == (byte)'P' ? world.NowMicros : long.MaxValue;
                return base.Send(bytes);
            }

            public override int Receive(Span<byte> buffer)
            {
                int count = base.Receive(buffer);
                if (count == 21 && buffer[3] == (byte)'P')
                {
                    _last = buffer[..count].ToArray();
                    _askedMicros = long.MaxValue;
                }

                if (count > 0 || _askedMicros == long.MaxValue || world.NowMicros - _askedMicros < PatienceMicros)
                    return count;
                _askedMicros = long.MaxValue;
                _last.CopyTo(buffer);
                return _last.Length;
            }
        }
    }

    private sealed class UnitLetterIgnored() : LineSeams("reference")
    {
        protected override IByteLine Wrap(IByteLine line, World world) => new AlwaysBar(line);

        private sealed class AlwaysBar(IByteLine line) : WrappedLine(line)
        {
            public override int Receive(Span<byte> buffer)
            {
                int count = base.Receive(buffer);
                if (count != 21 || buffer[3] != (byte)'P' || buffer[15] == (byte)'B')
                    return count;
                buffer[15] = (byte)'B';
                byte sum = 0;
                foreach (byte one in buffer[..18])
                    sum += one;
                Encoding.ASCII.GetBytes(sum.ToString("X2", CultureInfo.InvariantCulture), buffer[18..]);
                return count;
            }
        }
    }

    private sealed class KeepAliveByTimer() : LineSeams("dump")
    {
        protected override IByteLine Wrap(IByteLine line, World world) => new Timer(line, world);

        private sealed class Timer(IByteLine line, World world) : WrappedLine(line)
        {
            private long _sentMicros;
            private int _number = 1_000_000;

            public override bool Send(ReadOnlySpan<byte> bytes)
            {
                if (world.NowMicros - _sentMicros > 100_000)
                {
                    _sentMicros = world.NowMicros;
                    base.Send(Encoding.ASCII.GetBytes($"K{++_number}\n"));
                }

                return base.Send(bytes);
            }
        }
    }

    private sealed class KeepAliveAfterTrip() : LineSeams("dump")
    {
        protected override IByteLine Wrap(IByteLine line, World world) => new NeverOpen(line);

        private sealed class NeverOpen(IByteLine line) : WrappedLine(line)
        {
            private int _number = 2_000_000;

            public override bool Send(ReadOnlySpan<byte> bytes) =>
                bytes.SequenceEqual("OPEN\n"u8) ? base.Send(Encoding.ASCII.GetBytes($"K{++_number}\n")) : base.Send(bytes);
        }
    }

    private sealed class VentAfterDisk() : LineSeams("controller")
    {
        protected override IByteLine Wrap(IByteLine line, World world) => new Waiting(line, world);

        // While the disk is busy for longer than a moment, a vent is thrown away: it will be said again.
        private sealed class Waiting(IByteLine line, World world) : WrappedLine(line)
        {
            public override bool Send(ReadOnlySpan<byte> bytes) =>
                world.Disk.FlushMicros > 10_000 && bytes.StartsWith("SOUR:MODE VENT"u8) || base.Send(bytes);
        }
    }

    private sealed class VentNotSaid() : LineSeams("controller")
    {
        protected override IByteLine Wrap(IByteLine line, World world) => new Dropped(line);

        private sealed class Dropped(IByteLine line) : WrappedLine(line)
        {
            public override bool Send(ReadOnlySpan<byte> bytes) =>
                bytes.StartsWith("SOUR:MODE VENT"u8) || bytes.StartsWith("SOUR:PRES:TARG 0.000000"u8) || base.Send(bytes);
        }
    }
}
