namespace Barostep.Daemon.Simulation.Checkers;

/// <summary>I15: nothing grows without bound: no report is dropped, and the journal takes what its cycles take.</summary>
internal sealed class BoundedChecker : Checker
{
    private const int BytesPerCycle = 1_600;

    private const int BytesPerFile = 40_000;

    private long _cycles;

    public override string Name => "I15 bounded";

    public override void GuardCycled(in Control.BenchSnapshot told) => _cycles++;

    public override void Over()
    {
        if (World.Guard.DroppedReports > 0 && (World.Faults.Touched & Faults.Reach.GuardGone) == 0)
            Report($"{World.Guard.DroppedReports} reports of the lines were dropped");
        long bytes = World.Disk.Files.Sum(file => (long)file.Contents.Length);
        long most = (_cycles * BytesPerCycle) + (World.Disk.Files.Count * BytesPerFile);
        if (bytes > most)
            Report($"the journal took {bytes} bytes for {_cycles} cycles");
    }
}
