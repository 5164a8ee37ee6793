using Barostep.Instruments;
using Barostep.Safety;

namespace Barostep.Tests.Instruments;

public class InstrumentDriverTests
{
    private const long Second = 1_000_000;

    [Fact]
    public void Nothing_is_sent_before_the_instrument_has_said_who_it_is()
    {
        DriverBench bench = new(answer: _ => null);
        bench.Driver.Poll(Capability.ReadPressure, 50_000);
        bench.Driver.Command(Capability.Vent, 0, CommandUrgency.Urgent, 7);
        bench.RunTo(5 * Second);
        Assert.NotEmpty(bench.Requests);
        Assert.All(bench.Requests, r => Assert.Equal("*IDN?", r));
        Assert.Equal(LinkState.Lost, bench.Driver.State);
        Assert.Equal(ExchangeOutcome.LineLost, Assert.Single(bench.Of(Capability.Vent)).Outcome);
    }

    [Theory]
    [InlineData("DISTRICT WORKS,PC-41,W1207,2.1", "model 'PC-40' is expected and the instrument says 'PC-41'")]
    [InlineData("DISTRICT WORKS,PC-40,W9999,2.1", "serial 'W1207' is expected and the instrument says 'W9999'")]
    public void The_wrong_instrument_is_sent_nothing_more_until_it_was_exchanged(string identity, string problem)
    {
        DriverBench bench = new(answer: r => r == "*IDN?" ? identity : TestInstruments.Answer(r));
        bench.Driver.Poll(Capability.ReadPressure, 50_000);
        bench.RunTo(Second);
        bench.Driver.Command(Capability.Vent, 0, CommandUrgency.Urgent, 7);
        bench.RunTo(2 * Second);
        Assert.Equal(LinkState.WrongInstrument, bench.Driver.State);
        Assert.Contains(problem, bench.Driver.IdentityProblem, StringComparison.Ordinal);
        Assert.All(bench.Requests, r => Assert.Equal("*IDN?", r));
        Assert.Equal(ExchangeOutcome.Refused, Assert.Single(bench.Of(Capability.Vent)).Outcome);

        bench.Line.Answer = TestInstruments.Answer;
        bench.RunTo(4 * Second);
        Assert.Equal(LinkState.Ready, bench.Driver.State);
        Assert.Empty(bench.Driver.IdentityProblem);
        Assert.NotEmpty(bench.Of(Capability.ReadPressure));
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void A_line_that_floods_garbage_is_lost_after_a_second_and_comes_back_when_it_is_quiet(bool fromTheStart)
    {
        DriverBench bench = fromTheStart ? new DriverBench() : Ready();
        bench.Driver.Poll(Capability.ReadPressure, 50_000);
        long from = bench.Line.NowMicros;
        // A byte every 5 ms, and the line counts as silent after 20 ms.
        for (long at = from; at <= from + (3 * Second); at += 5_000)
            bench.Line.Arrive(at, "~");
        bench.RunTo(from + (2 * Second));
        Assert.Equal(LinkState.Lost, bench.Driver.State);
        bench.RunTo(from + (3 * Second) - 1);
        Assert.Equal(LinkState.Lost, bench.Driver.State);
        bench.RunTo(from + (5 * Second));
        Assert.Equal(LinkState.Ready, bench.Driver.State);
        Assert.Contains(bench.Of(Capability.ReadPressure), r => r.Outcome == ExchangeOutcome.Answered && r.AskedMicros > from + (3 * Second));
    }

    [Fact]
    public void A_vent_is_still_sent_into_a_flooded_line()
    {
        DriverBench bench = Ready();
        long from = bench.Line.NowMicros;
        for (long at = from; at <= from + (3 * Second); at += 5_000)
            bench.Line.Arrive(at, "~");
        bench.RunTo(from + (2 * Second));
        bench.Driver.Command(Capability.Vent, 0, CommandUrgency.Urgent, 7);
        bench.RunTo(from + (2 * Second) + 50_000);
        Assert.Contains("VENT", bench.Requests);
    }

    [Fact]
    public void A_reading_tells_value_unit_raw_text_and_when_it_was_asked()
    {
        DriverBench bench = Ready();
        bench.Driver.Poll(Capability.ReadPressure, 50_000);
        bench.RunTo(2 * Second);
        ExchangeReport report = bench.Of(Capability.ReadPressure).First();
        Assert.Equal(ExchangeOutcome.Answered, report.Outcome);
        Assert.Equal(12.345m, report.Value);
        Assert.Equal("12.345,bar", report.Reply.ToString());
        Assert.Equal(bench.Line.Sent.First(s => s.Request == "P?").AtMicros, report.AskedMicros);
        Assert.Equal(report.AskedMicros + bench.Line.DelayMicros, report.AnsweredMicros);
        Assert.True(report.TryGetPressure(Pressure.StandardAtmosphere, out Pressure pressure));
        Assert.Equal(1_234_500_000 + 101_325_000, pressure.MilliPascals);
        Assert.Single(bench.Of(Capability.ReadPressure).Select(r => r.ReplyHash).Distinct());
    }

    [Fact]
    public void Polls_keep_their_periods_and_a_fast_one_does_not_starve_a_slow_one()
    {
        DriverBench bench = Ready();
        bench.Driver.Poll(Capability.ReadPressure, 1);
        bench.Driver.Poll(Capability.ReadMode, 200_000);
        bench.RunTo(10 * Second);
        Assert.Equal(45, bench.Requests.Count(r => r == "M?"));
        Assert.InRange(bench.Requests.Count(r => r == "P?"), 1500, 1800);
        bench.Driver.Poll(Capability.ReadPressure, 0);
        bench.RunTo(11 * Second);
        int before = bench.Requests.Count(r => r == "P?");
        bench.RunTo(12 * Second);
        Assert.Equal(before, bench.Requests.Count(r => r == "P?"));
        Assert.Equal(SourceMode.Controlling, bench.Of(Capability.ReadMode).First().Mode);
    }

    [Fact]
    public void A_vent_overtakes_what_waits_and_what_could_raise_pressure_is_refused()
    {
        DriverBench bench = Ready();
        bench.Driver.Poll(Capability.ReadPressure, 1);
        bench.RunTo(Second);
        bench.Driver.Command(Capability.WriteSetPoint, 16, CommandUrgency.Normal, 1);
        bench.Driver.Command(Capability.Control, 0, CommandUrgency.Normal, 2);
        bench.Driver.Command(Capability.ReadMode, 0, CommandUrgency.Normal, 3);
        bench.Driver.Command(Capability.Vent, 0, CommandUrgency.Urgent, 4);
        bench.RunTo(2 * Second);
        string[] sent = [.. bench.Line.Sent.Where(s => s.AtMicros >= Second).Select(s => s.Request)];
        Assert.Equal(["P?", "VENT", "M?"], sent[..3]);
        Assert.DoesNotContain(sent, r => r.StartsWith("T ", StringComparison.Ordinal) || r == "CTRL");
        Assert.Equal(
            [(1, ExchangeOutcome.Refused), (2, ExchangeOutcome.Refused), (3, ExchangeOutcome.Answered), (4, ExchangeOutcome.Sent)],
            bench.Reports.Where(r => r.Ticket > 0).Select(r => (r.Ticket, r.Outcome)).Order());
    }

    [Fact]
    public void A_vent_waits_for_the_exchange_in_flight_and_not_for_the_silence_after_garbage()
    {
        DriverBench bench = Ready();
        bench.Line.Answer = r => r == "P?" ? "rubbish" : TestInstruments.Answer(r);
        bench.Driver.Command(Capability.ReadPressure, 0, CommandUrgency.Normal, 1);
        bench.RunTo(Second + 1_000);
        bench.Driver.Command(Capability.Vent, 0, CommandUrgency.Urgent, 2);
        bench.RunTo(2 * Second);
        long garbageAt = bench.Line.Sent.First(s => s.Request == "P?").AtMicros + bench.Line.DelayMicros;
        Assert.Equal(garbageAt, bench.Line.Sent.Single(s => s.Request == "VENT").AtMicros);
    }

    [Fact]
    public void A_set_point_reports_the_value_that_was_told_and_one_that_the_instrument_cannot_take_is_refused()
    {
        DriverBench bench = Ready();
        bench.Driver.Command(Capability.WriteSetPoint, 16.00004m, CommandUrgency.Normal, 1);
        bench.Driver.Command(Capability.WriteUpperLimit, 20, CommandUrgency.Normal, 2);
        bench.RunTo(2 * Second);
        ExchangeReport told = Assert.Single(bench.Of(Capability.WriteSetPoint));
        Assert.Equal((ExchangeOutcome.Sent, 16.0000m, PressureUnit.Bar), (told.Outcome, told.Value, told.Unit));
        Assert.Equal(ExchangeOutcome.Refused, Assert.Single(bench.Of(Capability.WriteUpperLimit)).Outcome);
    }

    [Fact]
    public void A_query_is_asked_again_after_garbage_and_what_can_move_pressure_never_is()
    {
        DriverBench bench = Ready(TestInstruments.Controller(retries: 2));
        int asked = 0;
        bench.Line.Answer = r => r == "P?" && ++asked < 3 ? "12.3#5,bar" : r == "R 0.5" ? "E" : TestInstruments.Answer(r);
        bench.Driver.Command(Capability.ReadPressure, 0, CommandUrgency.Normal, 1);
        bench.RunTo(2 * Second);
        ExchangeReport read = Assert.Single(bench.Of(Capability.ReadPressure));
        Assert.Equal((ExchangeOutcome.Answered, 12.345m), (read.Outcome, read.Value));
        Assert.Equal(3, asked);
        Assert.Equal(2, bench.Driver.Garbage);

        bench.Driver.Command(Capability.WriteRate, 0.5m, CommandUrgency.Normal, 2);
        bench.RunTo(4 * Second);
        Assert.Equal(ExchangeOutcome.Garbled, Assert.Single(bench.Of(Capability.WriteRate)).Outcome);
        Assert.Single(bench.Requests, r => r == "R 0.5");
        Assert.Equal("E", bench.Of(Capability.WriteRate).Single().Reply.ToString());
    }

    /// <summary>An instrument that once takes longer than the time-out must not leave every later reading one exchange old.</summary>
    [Theory]
    [InlineData(201_000)]
    [InlineData(215_000)]
    [InlineData(300_000)]
    [InlineData(450_000)]
    [Trait("SR", "17")]
    public void A_late_reply_is_never_taken_for_the_answer_to_a_later_query(long lateMicros)
    {
        int number = 0;
        DriverBench bench = Ready();
        bench.Line.Answer = r =>
        {
            number += r == "P?" ? 1 : 0;
            bench.Line.DelayMicros = r == "P?" && number == 5 ? lateMicros : 5_000;
            if (r != "P?")
                return TestInstruments.Answer(r);
            return $"{number}.0,bar";
        };
        bench.Driver.Poll(Capability.ReadPressure, 10_000);
        bench.RunTo(5 * Second);
        long[] asked = [.. bench.Line.Sent.Where(s => s.Request == "P?").Select(s => s.AtMicros)];
        ExchangeReport[] answered = [.. bench.Of(Capability.ReadPressure).Where(r => r.Outcome == ExchangeOutcome.Answered)];
        Assert.InRange(answered.Length, 300, 500);
        Assert.All(answered, r => Assert.Equal(asked[(int)r.Value - 1], r.AskedMicros));
        Assert.InRange(bench.Driver.TimeOuts, 1, 2);
    }

    [Fact]
    public void Bytes_that_nobody_asked_for_are_drained_and_not_read()
    {
        DriverBench bench = Ready();
        bench.Line.Arrive(Second + 100, "99.9,bar\r\n");
        bench.RunTo(Second + 200);
        bench.Driver.Command(Capability.ReadPressure, 0, CommandUrgency.Normal, 1);
        bench.RunTo(2 * Second);
        Assert.Equal(12.345m, Assert.Single(bench.Of(Capability.ReadPressure), r => r.Outcome == ExchangeOutcome.Answered).Value);
        Assert.NotEqual(0, bench.Driver.Garbage);
    }

    [Fact]
    public void A_reply_longer_than_allowed_is_garbage()
    {
        DriverBench bench = Ready(TestInstruments.Controller(retries: 0));
        bench.Line.Answer = r => r == "P?" ? new string('1', 200) : TestInstruments.Answer(r);
        bench.Driver.Command(Capability.ReadPressure, 0, CommandUrgency.Normal, 1);
        bench.RunTo(2 * Second);
        ExchangeReport report = Assert.Single(bench.Of(Capability.ReadPressure));
        Assert.Equal(ExchangeOutcome.Garbled, report.Outcome);
        Assert.Equal(new string('1', ReplyText.Capacity) + "…", report.Reply.ToString());
        Assert.Equal(LinkState.Ready, bench.Driver.State);
    }

    [Theory]
    [InlineData("9.91E37,bar", ExchangeOutcome.OverRange)]
    [InlineData("12.5,psi", ExchangeOutcome.WrongUnit)]
    [InlineData("12.5,bara", ExchangeOutcome.Answered)]
    public void What_is_not_a_plain_reading_says_so(string reply, ExchangeOutcome outcome)
    {
        DriverBench bench = Ready();
        bench.Line.Answer = r => r == "P?" ? reply : TestInstruments.Answer(r);
        bench.Driver.Command(Capability.ReadPressure, 0, CommandUrgency.Normal, 1);
        bench.RunTo(2 * Second);
        ExchangeReport report = Assert.Single(bench.Of(Capability.ReadPressure));
        Assert.Equal(outcome, report.Outcome);
        Assert.Equal(outcome == ExchangeOutcome.Answered, report.TryGetPressure(Pressure.StandardAtmosphere, out Pressure pressure));
        Assert.Equal(outcome == ExchangeOutcome.Answered ? 1_250_000_000 : 0, pressure.MilliPascals);
    }

    [Fact]
    public void A_silent_instrument_is_lost_answers_its_commands_so_and_is_still_told_to_vent()
    {
        DriverBench bench = Ready();
        bench.Line.Answer = _ => null;
        bench.Driver.Poll(Capability.ReadPressure, 50_000);
        bench.RunTo(4 * Second);
        Assert.Equal(LinkState.Lost, bench.Driver.State);
        Assert.Contains(bench.Of(Capability.ReadPressure), r => r.Outcome == ExchangeOutcome.TimedOut);
        bench.Driver.Command(Capability.WriteSetPoint, 16, CommandUrgency.Normal, 1);
        bench.RunTo(4 * Second);
        bench.Driver.Command(Capability.Vent, 0, CommandUrgency.Urgent, 2);
        bench.RunTo(5 * Second);
        Assert.Equal(ExchangeOutcome.LineLost, Assert.Single(bench.Of(Capability.WriteSetPoint)).Outcome);
        Assert.Equal(ExchangeOutcome.Sent, Assert.Single(bench.Of(Capability.Vent)).Outcome);
        bench.Line.Answer = TestInstruments.Answer;
        bench.RunTo(7 * Second);
        Assert.Equal(LinkState.Ready, bench.Driver.State);
    }

    [Fact]
    public void A_lost_line_ends_the_exchange_and_the_instrument_is_asked_again_who_it_is()
    {
        DriverBench bench = Ready();
        bench.Driver.Command(Capability.ReadPressure, 0, CommandUrgency.Normal, 1);
        bench.RunTo(Second + 1_000);
        bench.Line.IsOpen = false;
        bench.RunTo(Second + 2_000);
        Assert.Equal(ExchangeOutcome.LineLost, Assert.Single(bench.Of(Capability.ReadPressure)).Outcome);
        Assert.Equal(LinkState.Closed, bench.Driver.State);
        bench.Driver.Command(Capability.Control, 0, CommandUrgency.Normal, 2);
        bench.RunTo(Second + 3_000);
        Assert.Equal(ExchangeOutcome.LineLost, Assert.Single(bench.Of(Capability.Control)).Outcome);

        bench.Line.IsOpen = true;
        bench.RunTo(2 * Second);

        // The reply of before still comes first; it is not taken for the identity, nor for a reading.
        Assert.Equal(["*IDN?", "P?", "*IDN?", "*IDN?"], bench.Requests);
        Assert.DoesNotContain(bench.Reports, r => r.Capability == Capability.ReadPressure && r.Outcome == ExchangeOutcome.Answered);
        Assert.Equal((LinkState.Ready, 2), (bench.Driver.State, bench.Driver.Openings));
    }

    [Fact]
    public void An_instrument_that_cannot_identify_itself_is_used_all_the_same()
    {
        DriverBench bench = new(TestInstruments.Controller(identifies: false));
        bench.Driver.Poll(Capability.ReadPressure, 50_000);
        bench.RunTo(Second);
        Assert.Equal(LinkState.Ready, bench.Driver.State);
        bench.Line.Answer = _ => null;
        bench.RunTo(2 * Second);
        Assert.Equal(LinkState.Lost, bench.Driver.State);
        bench.Line.Answer = TestInstruments.Answer;
        bench.RunTo(3 * Second);
        Assert.Equal(LinkState.Ready, bench.Driver.State);
    }

    [Fact]
    public void A_source_whose_lease_runs_out_is_vented_until_the_lease_is_renewed()
    {
        DriverBench bench = Ready();
        bench.Driver.VentIfNotRenewed(2 * Second);
        bench.RunTo(2 * Second - 1);
        Assert.DoesNotContain("VENT", bench.Requests);
        bench.Driver.Command(Capability.WriteSetPoint, 16, CommandUrgency.Normal, 1);
        bench.RunTo(2 * Second);
        Assert.Equal(2 * Second, bench.Line.Sent.Single(s => s.Request == "VENT").AtMicros);
        bench.Driver.Command(Capability.Control, 0, CommandUrgency.Normal, 2);
        bench.RunTo(5 * Second - 1);
        Assert.Equal(3, bench.Requests.Count(r => r == "VENT"));
        Assert.DoesNotContain("CTRL", bench.Requests);
        Assert.Equal(ExchangeOutcome.Refused, Assert.Single(bench.Of(Capability.Control)).Outcome);
        Assert.All(bench.Of(Capability.Vent), r => Assert.Equal(ExchangeReport.LeaseTicket, r.Ticket));

        bench.Driver.VentIfNotRenewed(7 * Second);
        bench.Driver.Command(Capability.Control, 0, CommandUrgency.Normal, 3);
        bench.RunTo(7 * Second - 1);
        Assert.Equal(3, bench.Requests.Count(r => r == "VENT"));
        Assert.Contains("CTRL", bench.Requests);
        bench.RunTo(7 * Second);
        Assert.Equal(4, bench.Requests.Count(r => r == "VENT"));
    }

    [Fact]
    public void Reports_that_nobody_takes_are_dropped_oldest_first_and_counted()
    {
        InstrumentDriver driver = new(TestInstruments.Fitted(TestInstruments.Controller()));
        ScriptedLine line = new(TestInstruments.Answer) { IsOpen = false };
        for (int ticket = 1; ticket <= 300; ticket++)
        {
            driver.Command(Capability.Vent, 0, CommandUrgency.Urgent, ticket);
            driver.Advance(ticket, line);
        }

        Assert.Equal(44, driver.DroppedReports);
        Assert.True(driver.TryTake(out ExchangeReport oldest));
        Assert.Equal(45, oldest.Ticket);
    }

    [Fact]
    public void Polling_and_commands_allocate_nothing_once_running()
    {
        InstrumentDriver driver = new(TestInstruments.Fitted(TestInstruments.Controller()));
        EchoLine line = new();
        driver.Poll(Capability.ReadPressure, 1);
        driver.Poll(Capability.ReadMode, 1);
        long answered = 0;
        long allocated = long.MaxValue;
        // Code that is not optimised yet boxes; how many rounds that takes depends on what else the machine does.
        for (int round = 0; round < 100 && allocated > 0; round++)
        {
            long answeredBefore = line.Answered;
            long before = GC.GetAllocatedBytesForCurrentThread();
            answered = Run(driver, line, 10_000) - answeredBefore;
            allocated = GC.GetAllocatedBytesForCurrentThread() - before;
        }

        Assert.Equal(0, allocated);
        Assert.InRange(answered, 9_000, 20_000);
    }

    private static long Run(InstrumentDriver driver, EchoLine line, int steps)
    {
        for (int i = 0; i < steps; i++)
        {
            line.NowMicros += 10;
            driver.VentIfNotRenewed(line.NowMicros + 1000);
            driver.Command(Capability.WriteSetPoint, 12, CommandUrgency.Normal, 1);
            driver.Advance(line.NowMicros, line);
            while (driver.TryTake(out ExchangeReport report))
                line.Answered += report.Outcome == ExchangeOutcome.Answered ? 1 : 0;
        }

        return line.Answered;
    }

    private static DriverBench Ready(InstrumentDefinition? definition = null)
    {
        DriverBench bench = new(definition);
        bench.RunTo(Second);
        Assert.Equal(LinkState.Ready, bench.Driver.State);
        Assert.Equal(TestInstruments.IdentityReply, bench.Driver.IdentityText);
        return bench;
    }

    /// <summary>Answers at once and allocates nothing.</summary>
    private sealed class EchoLine : IByteLine
    {
        private bool _identify;
        private bool _mode;
        private bool _waiting;

        public bool IsOpen => true;

        public long NowMicros { get; set; }

        public long Answered { get; set; }

        public int Receive(Span<byte> buffer)
        {
            if (!_waiting)
                return 0;
            _waiting = false;
            ReadOnlySpan<byte> reply = _identify ? "DISTRICT WORKS,PC-40,W1207,2.1\r\n"u8 : _mode ? "CTRL\r\n"u8 : "12.345,bar\r\n"u8;
            reply.CopyTo(buffer);
            return reply.Length;
        }

        public bool Send(ReadOnlySpan<byte> bytes)
        {
            _identify = bytes[0] == '*';
            _mode = bytes[0] == 'M';
            _waiting = _identify || _mode || bytes[0] == 'P';
            return true;
        }
    }
}
