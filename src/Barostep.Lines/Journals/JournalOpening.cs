using Barostep.Control;
using Barostep.Safety;

namespace Barostep.Lines.Journals;

/// <summary>The first entries of a journal file: whose it is, what holds from here on, and where a replay can begin.</summary>
/// <param name="Bench">The bench's name.</param>
/// <param name="FileNumber">1 for the first file.</param>
/// <param name="Simulated">Whether the bench is simulated: such a journal can never pass for a real one.</param>
/// <param name="BenchHash">SHA-256 of the bench's files; empty where nobody compares with it.</param>
public sealed record JournalOpening(string Bench, int FileNumber, bool Simulated, string BenchHash = "")
{
    private const string BootIdPath = "/proc/sys/kernel/random/boot_id";

    /// <summary>Writes them and asks for them to be on the disk.</summary>
    public void Write(SafetyJournal journal, JournalStamp stamp, SafetyLimits limits, SafetyState start)
    {
        string boot = File.Exists(BootIdPath) ? File.ReadAllText(BootIdPath).Trim() : string.Empty;
        journal.Write(stamp, new OpenPayload(
            $"barostep {ProgramVersion.Text}", ProgramVersion.KernelHash, Bench, BenchHash, Environment.MachineName, boot, FileNumber, FreshStart: true, Simulated));
        journal.Write(stamp, new LimitsPayload("configuration", "the files as they stood at the start", limits));
        journal.Write(stamp, new StatePayload(start));
        journal.RequestFlush();
    }
}
