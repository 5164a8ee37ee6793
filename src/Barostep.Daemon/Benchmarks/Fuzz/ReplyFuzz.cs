using System.Globalization;
using Barostep.Configuration;
using Barostep.Instruments;

namespace Barostep.Daemon.Benchmarks.Fuzz;

/// <summary>Spoilt replies: each is the number that it says, or a stated failure of communication, and never another number.</summary>
public static class ReplyFuzz
{
    private const long PollMicros = 60_000_000;
    private const long LongestMicros = 10_000_000;

    /// <summary>What came of so many replies.</summary>
    /// <param name="Read">Read as the number that they say.</param>
    /// <param name="Failures">How many came to each failure of communication.</param>
    /// <param name="Wrong">Read as something else, with the number of the case; the same seed gives it again.</param>
    public sealed record Outcome(int Read, IReadOnlyDictionary<ExchangeOutcome, int> Failures, IReadOnlyList<string> Wrong);

    /// <summary>Spoils replies and has the driver read them.</summary>
    /// <param name="instruments">The shipped definitions.</param>
    /// <param name="seed">The same seed gives the same cases.</param>
    /// <param name="count">How many.</param>
    public static Outcome Run(IReadOnlyDictionary<string, InstrumentDefinition> instruments, int seed, int count)
    {
        ArgumentNullException.ThrowIfNull(instruments);
        int read = 0;
        var failures = new SortedDictionary<ExchangeOutcome, int>();
        List<string> wrong = [];
        for (int i = 0; i < count; i++)
        {
            var random = new Random(FuzzSeed.Of(seed, i));
            ReplyOracle oracle = ReplyOracle.All[i % ReplyOracle.All.Count];
            byte[] reply = SpoiltText.Of(oracle.Sound(random), random);
            int cut = random.Next(reply.Length + 1);
            ExchangeReport? report = Ask(instruments[oracle.Definition], oracle.Identity, reply, cut);
            // Stray bytes that come later than a whole reply take nothing from it.
            decimal? says = oracle.Reads(reply) ?? oracle.Reads(reply[..cut]);
            if (report is { Outcome: ExchangeOutcome.Answered } && report.Value.Value == says)
                read++;
            else if (report is null or { Outcome: ExchangeOutcome.Answered or ExchangeOutcome.Sent })
                wrong.Add(string.Create(CultureInfo.InvariantCulture, $"seed {seed}, case {i}, {oracle.Definition}: {Convert.ToHexString(reply)} says {says}, read as {report?.Value}"));
            else
                failures[report.Value.Outcome] = failures.GetValueOrDefault(report.Value.Outcome) + 1;
        }

        return new Outcome(read, failures, wrong);
    }

    public static void Report(TextWriter output, IReadOnlyDictionary<string, InstrumentDefinition> instruments, int seed, int count)
    {
        ArgumentNullException.ThrowIfNull(output);
        Outcome outcome = Run(instruments, seed, count);
        string failures = string.Join(", ", outcome.Failures.Select(one => string.Create(CultureInfo.InvariantCulture, $"{one.Key} {one.Value}")));
        output.WriteLine(string.Create(
            CultureInfo.InvariantCulture,
            $"seed {seed}: {count} replies, {outcome.Read} read as what they say, failures of communication: {failures}; {outcome.Wrong.Count} wrong"));
        foreach (string wrong in outcome.Wrong.Take(20))
            output.WriteLine(wrong);
    }

    /// <summary>One question to an instrument that has said who it is; null where the driver never came to an end.</summary>
    private static ExchangeReport? Ask(InstrumentDefinition definition, byte[] identity, byte[] reply, int cut)
    {
        var driver = new InstrumentDriver(new FittedInstrument(definition, "port", null, null, 0));
        var line = new SpoiltLine(identity, reply, cut);
        driver.Poll(Capability.ReadPressure, PollMicros);
        while (line.NowMicros < LongestMicros)
        {
            long next = Math.Min(driver.Advance(line.NowMicros, line), line.NextArrival);
            while (driver.TryTake(out ExchangeReport report))
            {
                if (report.Capability == Capability.ReadPressure)
                    return report;
            }

            if (next == long.MaxValue)
                return null;
            line.NowMicros = Math.Max(line.NowMicros, next);
        }

        return null;
    }

    /// <summary>Says who it is to the first message and after a time-out, and the spoilt reply, in pieces, to the others.</summary>
    private sealed class SpoiltLine(byte[] identity, byte[] reply, int cut) : IByteLine
    {
        private const long DelayMicros = 2_000;

        private readonly Queue<(long AtMicros, byte[] Bytes)> _arriving = new();
        private byte[]? _identify;

        public long NowMicros { get; set; }

        public bool IsOpen => true;

        public long NextArrival => _arriving.TryPeek(out (long AtMicros, byte[] Bytes) next) ? next.AtMicros : long.MaxValue;

        public int Receive(Span<byte> buffer)
        {
            if (NextArrival > NowMicros)
                return 0;
            byte[] bytes = _arriving.Dequeue().Bytes;
            bytes.CopyTo(buffer);
            return bytes.Length;
        }

        public bool Send(ReadOnlySpan<byte> bytes)
        {
            _identify ??= bytes.ToArray();
            byte[] answer = bytes.SequenceEqual(_identify) ? identity : reply;
            int first = answer == reply ? cut : answer.Length;
            if (first > 0)
                _arriving.Enqueue((NowMicros + DelayMicros, answer[..first]));
            if (first < answer.Length)
                _arriving.Enqueue((NowMicros + (2 * DelayMicros), answer[first..]));
            return true;
        }
    }
}
