using Barostep.Configuration;
using Barostep.Instruments;
using Barostep.Instruments.Probing;
using Barostep.Tests.Configuration;
using Barostep.Tests.Repository;

namespace Barostep.Tests.Instruments;

/// <summary>Every transcript in tests/transcripts/ is understood as it was when it was recorded.</summary>
public sealed class TranscriptTests
{
    private static readonly string Folder = Path.Combine(RepositoryPaths.Root, "tests", "transcripts");

    public static TheoryData<string> Transcripts() =>
        [.. Directory.GetFiles(Folder, "*.transcript").Select(path => Path.GetFileName(path)).Order(StringComparer.Ordinal)];

    [Theory]
    [MemberData(nameof(Transcripts))]
    public void A_transcript_is_understood_as_it_was_recorded(string file)
    {
        Transcript recorded = Read(file);
        var probe = new InstrumentProbe(Definitions.Fitted(DefinitionOf(recorded.Definition)), recorded.Repeats);
        var line = new ReplayLine(recorded.Entries);
        while (!probe.Done)
        {
            long next = Math.Min(probe.Advance(line.NowMicros, line), line.NextArrival);
            if (probe.Done)
                break;
            Assert.True(next >= line.NowMicros && next < long.MaxValue, $"{file}: nothing more comes, while {probe.Now} is tried");
            line.NowMicros = next;
        }

        Assert.Equal(recorded.Found, probe.Findings.Select(Transcript.Line));
        Assert.Equal(0, line.Left);
    }

    [Fact]
    public void Every_shipped_definition_has_a_transcript()
    {
        string[] recorded = [.. Directory.GetFiles(Folder, "*.transcript").Select(path => Read(Path.GetFileName(path)).Definition)];

        Assert.Empty(ShippedConfiguration.Load().Configuration.Instruments.Keys.Except(recorded));
    }

    [Theory]
    [InlineData("x", "the first line is")]
    [InlineData("barostep transcript 1\nsoon > a", "a line is 'seconds > bytes'")]
    [InlineData("barostep transcript 1\n0.5 < \\q", "a backslash begins \\xHH")]
    [InlineData("barostep transcript 1\nrepeats 0", "a count from 1")]
    public void A_line_that_is_not_understood_is_told(string text, string rule) =>
        Assert.Contains(rule, Assert.Throws<FormatException>(() => Transcript.Read(new StringReader(text))).Message, StringComparison.Ordinal);

    [Fact]
    public void What_was_written_is_read_back()
    {
        byte[] bytes = [.. Enumerable.Range(0, 256).Select(value => (byte)value)];
        var transcript = new Transcript("any", 3, [new(0, false, bytes), new(1_234_567, true, [65])], ["identify: A B"]);
        var text = new StringWriter { NewLine = "\n" };
        transcript.Write(text);
        Transcript read = Transcript.Read(new StringReader(text.ToString()));

        Assert.Equal(("any", 3, "identify: A B"), (read.Definition, read.Repeats, Assert.Single(read.Found)));
        Assert.Equal(bytes, read.Entries[0].Bytes);
        Assert.Equal((1_234_567L, true), (read.Entries[1].AtMicros, read.Entries[1].FromInstrument));
    }

    private static Transcript Read(string file)
    {
        using var reader = new StreamReader(Path.Combine(Folder, file));
        return Transcript.Read(reader);
    }

    private static InstrumentDefinition DefinitionOf(string name)
    {
        string beside = Path.Combine(Folder, name + ".toml");
        if (!File.Exists(beside))
            return Definitions.Shipped(name);
        InstrumentReading reading = InstrumentReading.Of(beside, File.ReadAllText(beside));
        Assert.Empty(reading.Errors);
        return reading.Definition!;
    }

    /// <summary>Says what the instrument said, as long after each message as it did.</summary>
    private sealed class ReplayLine : MemoryLine
    {
        private readonly Queue<TranscriptEntry> _left;

        public ReplayLine(IReadOnlyList<TranscriptEntry> entries)
        {
            _left = new Queue<TranscriptEntry>(entries);
            Schedule(0);
        }

        public int Left => _left.Count + Arriving;

        public override bool Send(ReadOnlySpan<byte> bytes)
        {
            TranscriptEntry recorded = _left.Dequeue();
            Assert.Equal(Convert.ToHexString(recorded.Bytes), Convert.ToHexString(bytes));
            Schedule(NowMicros - recorded.AtMicros);
            return true;
        }

        private void Schedule(long shiftMicros)
        {
            while (_left.TryPeek(out TranscriptEntry? next) && next.FromInstrument)
                Arrive(Math.Max(NowMicros, _left.Dequeue().AtMicros + shiftMicros), next.Bytes);
        }
    }
}
