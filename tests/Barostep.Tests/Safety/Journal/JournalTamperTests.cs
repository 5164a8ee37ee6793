using System.Text;
using Barostep.Safety;

namespace Barostep.Tests.Safety.Journal;

public class JournalTamperTests
{
    [Fact]
    public void An_intact_journal_reads_back_whole()
    {
        SampleJournal journal = SampleJournal.OfAllKinds();
        JournalReader reader = SampleJournal.Reader(journal.Bytes);
        List<JournalEntry> entries = [.. reader.ReadAll()];

        Assert.Null(reader.Fault);
        Assert.Equal(journal.Chain.Head, reader.Head);
        Assert.Equal(journal.Bytes.Length, reader.IntactBytes);
        Assert.Equal(Enum.GetValues<JournalKind>().Order(), entries.Select(entry => entry.Kind).Distinct().Order());
        Assert.Equal(Enumerable.Range(1, entries.Count).Select(n => (long)n), entries.Select(entry => entry.Sequence));
    }

    [Fact]
    public void A_change_of_any_one_byte_is_found_and_its_entry_named()
    {
        byte[] bytes = SampleJournal.OfAllKinds().Bytes;
        long entry = 1;
        for (int position = 0; position < bytes.Length; position++)
        {
            byte original = bytes[position];
            foreach (byte changed in new byte[] { (byte)(original ^ 1), (byte)(original ^ 0x20), (byte)(original ^ 0x80), (byte)'\n', (byte)'0', 0 })
            {
                if (changed == original)
                    continue;
                bytes[position] = changed;
                JournalFault? fault = SampleJournal.Reader(bytes).Verify();
                Assert.True(fault?.Sequence == entry, $"byte {position} changed from {original} to {changed}: {fault}");
            }

            bytes[position] = original;
            if (original == (byte)'\n')
                entry++;
        }
    }

    [Fact]
    [Trait("SR", "43")]
    public void A_file_cut_at_any_byte_keeps_every_entry_before_the_cut_and_can_be_continued()
    {
        byte[] bytes = SampleJournal.OfAllKinds().Bytes;
        for (int length = 0; length <= bytes.Length; length++)
        {
            byte[] cut = bytes[..length];
            int whole = cut.Count(one => one == (byte)'\n');
            int intact = cut.AsSpan().LastIndexOf((byte)'\n') + 1;
            JournalReader reader = SampleJournal.Reader(cut);
            JournalFault? fault = reader.Verify();

            Assert.Equal(whole, reader.Count);
            Assert.Equal(intact, reader.IntactBytes);
            Assert.Equal(intact == length ? null : JournalFaultKind.TornTail, fault?.Kind);
            if (fault is not null)
            {
                Assert.Equal(whole + 1, fault.Sequence);
                Assert.Equal(intact, fault.Offset);
            }

            byte[] more = new SampleJournal(reader.Head).Append(9, new NotePayload(0, "guard", "torn tail cut")).Bytes;
            Assert.Null(SampleJournal.Reader([.. cut[..intact], .. more]).Verify());
        }
    }

    [Fact]
    public void An_entry_dropped_doubled_or_moved_is_found()
    {
        string[] lines = Lines(SampleJournal.OfAllKinds().Bytes);
        for (int index = 0; index < lines.Length - 1; index++)
        {
            List<string> dropped = [.. lines];
            dropped.RemoveAt(index);
            List<string> doubled = [.. lines];
            doubled.Insert(index, lines[index]);
            List<string> moved = [.. lines];
            (moved[index], moved[index + 1]) = (moved[index + 1], moved[index]);

            // The first entry dropped leaves a file that says of itself that it continues another.
            JournalHead start = JournalHead.Genesis;
            Assert.Equal((JournalFaultKind.Corruption, index + 1), Found(Verify(dropped, start)));
            Assert.Equal((JournalFaultKind.Corruption, index + 2), Found(Verify(doubled, start)));
            Assert.Equal((JournalFaultKind.Corruption, index + 1), Found(Verify(moved, start)));
        }
    }

    [Fact]
    public void An_entry_edited_and_sealed_again_is_betrayed_by_the_next()
    {
        string[] honest = Lines(new SampleJournal().Begin().Ticks(1, 5).Bytes);
        string[] forged = Lines(new SampleJournal().Begin().Tick(1, decision => decision with { Verdict = Verdict.Warn }).Ticks(2, 4).Bytes);
        Assert.Equal(honest[2], forged[2]);
        Assert.NotEqual(honest[3], forged[3]);

        JournalFault? fault = Verify([.. forged[..4], .. honest[4..]], JournalHead.Genesis);
        Assert.Equal((JournalFaultKind.Corruption, 5), Found(fault));
        Assert.Contains("does not continue", fault!.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void A_missing_tail_is_found_by_the_signed_head_alone()
    {
        SampleJournal journal = SampleJournal.OfAllKinds();
        string[] lines = Lines(journal.Bytes);
        for (int kept = 0; kept < lines.Length; kept++)
        {
            Assert.Null(Verify(lines[..kept], JournalHead.Genesis));
            JournalFault? fault = Bytes(lines[..kept]).Verify(journal.Chain.Head);
            Assert.Equal(JournalFaultKind.MissingTail, fault?.Kind);
            Assert.Equal(kept + 1, fault!.Sequence);
        }

        Assert.Null(Bytes(lines).Verify(journal.Chain.Head));
    }

    [Fact]
    public void A_torn_tail_that_was_signed_is_reported_as_missing()
    {
        SampleJournal journal = SampleJournal.OfAllKinds();
        JournalFault? fault = SampleJournal.Reader(journal.Bytes[..^1]).Verify(journal.Chain.Head);
        Assert.Equal(JournalFaultKind.MissingTail, fault?.Kind);
    }

    [Fact]
    public void A_chain_built_anew_does_not_hold_the_signed_entry()
    {
        SampleJournal honest = new SampleJournal().Begin().Ticks(1, 5);
        byte[] rebuilt = new SampleJournal().Begin().Ticks(1, 4).Tick(5, decision => decision with { Verdict = Verdict.Warn }).Bytes;

        Assert.Null(SampleJournal.Reader(rebuilt).Verify());
        JournalFault? fault = SampleJournal.Reader(rebuilt).Verify(honest.Chain.Head);
        Assert.Equal(JournalFaultKind.MissingTail, fault?.Kind);
        Assert.Equal(honest.Chain.Head.Sequence, fault!.Sequence);
    }

    [Fact]
    public void Sealed_lines_that_are_no_entries_are_refused_without_an_exception()
    {
        string[] contents =
        [
            "", "{", "[1,2", "{\"n\":1,\"t\":0,\"w\":0,\"k\":\"tick\",\"d\":{}", "{\"n\":\"1\",\"t\":0,\"w\":0,\"k\":\"tick\",\"d\":{},\"p\":\"\"",
            "{\"n\":1,\"t\":0,\"w\":0,\"k\":\"nonsense\",\"d\":{},\"p\":\"\"", "{\"t\":0,\"n\":1,\"w\":0,\"k\":\"tick\",\"d\":{},\"p\":\"\"",
            "{\"n\":1e99,\"t\":0,\"w\":0,\"k\":\"tick\",\"d\":{},\"p\":\"\"", "{\"n\":1,\"t\":0,\"w\":0,\"k\":null,\"d\":{},\"p\":\"\"",
            "{\"n\":1,\"t\":0,\"w\":0,\"k\":\"tick\",\"d\":{},\"p\":7",
        ];
        Assert.All(contents, content =>
        {
            string hash = Convert.ToHexStringLower(System.Security.Cryptography.SHA256.HashData(Encoding.UTF8.GetBytes(content)));
            JournalReader reader = Bytes([$"{content},\"h\":\"{hash}\"}}"]);
            Assert.Equal(JournalFaultKind.Corruption, reader.Verify()?.Kind);
        });
    }

    [Fact]
    public void A_line_without_end_does_not_fill_the_memory()
    {
        byte[] endless = new byte[3 * JournalReader.LongestEntry];
        Array.Fill(endless, (byte)'x');
        JournalFault? fault = SampleJournal.Reader(endless).Verify();
        Assert.Equal(JournalFaultKind.Corruption, fault?.Kind);
        Assert.Contains("longer", fault!.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Files_of_one_chain_follow_each_other()
    {
        SampleJournal first = new SampleJournal().Begin().Ticks(1, 4).Append(5, new RotatePayload(2));
        SampleJournal second = new SampleJournal(first.Chain.Head).Append(5, SampleJournal.Opening(2, freshStart: false)).Ticks(5, 3);
        SampleJournal third = new SampleJournal(second.Chain.Head).Append(9, SampleJournal.Opening(3, freshStart: false));

        Assert.Null(SampleJournal.Reader(second.Bytes, first.Chain.Head).Verify());
        Assert.Null(SampleJournal.Reader(third.Bytes, second.Chain.Head).Verify());
        Assert.Equal(JournalFaultKind.Corruption, SampleJournal.Reader(third.Bytes, first.Chain.Head).Verify()?.Kind);

        JournalReader alone = SampleJournal.Reader(second.Bytes);
        Assert.Null(alone.Verify());
        Assert.Equal(first.Chain.Head, alone.StartsAfter);
    }

    [Fact]
    public void A_signed_head_of_an_earlier_file_is_not_sought_in_a_later_one()
    {
        SampleJournal first = new SampleJournal().Begin().Ticks(1, 4);
        SampleJournal second = new SampleJournal(first.Chain.Head).Append(5, SampleJournal.Opening(2, freshStart: false)).Ticks(5, 3);

        Assert.Null(SampleJournal.Reader(second.Bytes).Verify(first.Chain.Head));
        JournalFault? fault = SampleJournal.Reader(second.Bytes).Verify(new JournalHead(3, new string('c', 64)));
        Assert.Contains("verify the file that holds it", fault!.Message, StringComparison.Ordinal);
        Assert.NotNull(SampleJournal.Reader(second.Bytes).Verify(first.Chain.Head with { Hash = new string('c', 64) }));
    }

    [Fact]
    public void A_long_journal_is_read_through_a_small_window()
    {
        SampleJournal journal = new SampleJournal().Begin().Ticks(1, 2000);
        using DribblingStream slow = new(journal.Bytes);
        JournalReader reader = new(slow);
        Assert.Null(reader.Verify(journal.Chain.Head));
        Assert.Equal(2003, reader.Count);
    }

    private static (JournalFaultKind, int) Found(JournalFault? fault) => (fault!.Kind, (int)fault.Sequence);

    private static JournalFault? Verify(IEnumerable<string> lines, JournalHead after) =>
        SampleJournal.Reader(Encoding.UTF8.GetBytes(string.Concat(lines.Select(line => line + "\n"))), after).Verify();

    private static JournalReader Bytes(IEnumerable<string> lines) =>
        SampleJournal.Reader(Encoding.UTF8.GetBytes(string.Concat(lines.Select(line => line + "\n"))));

    private static string[] Lines(byte[] bytes) => Encoding.UTF8.GetString(bytes).Split('\n', StringSplitOptions.RemoveEmptyEntries);

    /// <summary>Gives at most 777 bytes at a time, as a pipe may.</summary>
    private sealed class DribblingStream(byte[] bytes) : MemoryStream(bytes)
    {
        public override int Read(byte[] buffer, int offset, int count) => base.Read(buffer, offset, Math.Min(count, 777));
    }
}
