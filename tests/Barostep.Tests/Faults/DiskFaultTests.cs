using Barostep.Safety;

namespace Barostep.Tests.Faults;

[Collection(FaultedPrograms.Name)]
public sealed class DiskFaultTests(FaultRuns runs)
{
    [NeedsSmallDisk]
    [Trait("SR", "40, 41, 42")]
    public async Task With_the_journal_s_disk_full_the_bench_is_vented_and_no_run_goes_unwritten()
    {
        FaultRun run = await runs.OfAsync(FaultCases.DiskFull);
        Assert.Contains(nameof(Cause.JournalFault), run.Telling, StringComparison.Ordinal);
        Assert.NotEqual(0, run.Sweep!.ExitCode);
        Assert.Single(run.Payloads(JournalKind.RunStart));
        // What happened after the disk was full is in the room that was kept for it.
        TripPayload trip = Assert.IsType<TripPayload>(Assert.Single(run.Payloads(JournalKind.Trip)));
        Assert.Equal(Cause.JournalFault, trip.FirstCause);
    }
}

/// <summary>A test that fills a file system of its own.</summary>
[AttributeUsage(AttributeTargets.Method)]
internal sealed class NeedsSmallDiskAttribute : FactAttribute
{
    public NeedsSmallDiskAttribute() => Skip = SmallDisk.WhyNot;
}
