using System.Diagnostics;
using System.Globalization;
using Barostep.Lines.Journals;
using Barostep.Tests.Processes;

namespace Barostep.Tests.Lines;

public sealed class JournalReserveTests : IDisposable
{
    private readonly Workshop _workshop = new();

    public void Dispose() => _workshop.Dispose();

    [Fact]
    [Trait("SR", "42")]
    public void Sixteen_mebibytes_are_taken_from_the_disk_and_given_up()
    {
        Directory.CreateDirectory(_workshop.In("journals"));
        string path = _workshop.In("journals/reserve");

        JournalReserve? reserve = JournalReserve.Take(_workshop.In("journals"));
        Assert.NotNull(reserve);
        Assert.Equal(16 << 20, new FileInfo(path).Length);
        // Its blocks are allocated: a file that is only long would promise nothing.
        Assert.True(BlocksOf(path) * 512 >= 16 << 20);

        reserve.Release();
        Assert.False(File.Exists(path));
    }

    [Fact]
    [Trait("SR", "42")]
    public void A_journal_folder_keeps_its_reserve_while_its_journal_is_open()
    {
        string folder = _workshop.In("journals");
        (Barostep.Control.SafetyJournal journal, _, _, _) = JournalFolder.Open(folder);
        using (journal)
            Assert.Equal(JournalReserve.Bytes, new FileInfo(Path.Combine(folder, "reserve")).Length);
    }

    private static long BlocksOf(string path)
    {
        using Process stat = Process.Start(new ProcessStartInfo("stat", ["-c", "%b", path]) { RedirectStandardOutput = true })!;
        string told = stat.StandardOutput.ReadToEnd();
        stat.WaitForExit();
        return long.Parse(told, CultureInfo.InvariantCulture);
    }
}
