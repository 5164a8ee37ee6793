namespace Barostep.Tests.Faults;

/// <summary>A small file system of its own for a guard's journal, seen by that guard alone.</summary>
internal static class SmallDisk
{
    private static readonly Lazy<string?> Problem = new(Try);

    /// <summary>Why there can be none on this machine; null where there can.</summary>
    public static string? WhyNot => Problem.Value;

    /// <summary>Mounts it in namespaces of the guard's own, so that nothing is left behind whatever happens.</summary>
    public static string[] Wrapper(FaultBench bench)
    {
        Directory.CreateDirectory(bench.Journals);
        return Under(Path.Combine(bench.State, "journals"), "exec \"$@\"");
    }

    /// <summary>Fills it to the last byte, and asks for another run when the bench is vented.</summary>
    public static async Task FillAsync(FaultBench bench)
    {
        string journals = $"/proc/{bench.Guard!.Id}/root{bench.Journals}";
        FillUp(Path.Combine(journals, "filler"));
        await bench.UntilVentedAsync();
        await bench.SweepEndAsync();
        double before = RunningBench.Truth(bench.Bench.TruthPath).Max(moment => moment.Seconds);
        bench.StartSweep();
        await bench.SweepEndAsync();
        Assert.All(
            RunningBench.Truth(bench.Bench.TruthPath).Where(moment => moment.Seconds > before),
            moment => Assert.InRange(moment.BarGauge, -0.05, 0.05));
        // The guard's file system goes with the guard.
        foreach (string file in Directory.GetFiles(journals, "journal-*"))
            File.Copy(file, Path.Combine(bench.Journals, Path.GetFileName(file)));
    }

    private static void FillUp(string path)
    {
        using var filler = new FileStream(path, FileMode.Create, FileAccess.Write, FileShare.Read, bufferSize: 0);
        WriteWhileThereIsRoom(filler, new byte[1 << 16]);
        WriteWhileThereIsRoom(filler, new byte[1]);
    }

    private static void WriteWhileThereIsRoom(FileStream file, byte[] block)
    {
        bool room = true;
        while (room)
        {
            try
            {
                file.Write(block);
            }
            catch (IOException)
            {
                room = false;
            }
        }
    }

    private static string[] Under(string folder, string command) =>
    [
        "unshare", "--user", "--map-root-user", "--mount", "sh", "-c",
        $"mount -t tmpfs -o size=300m tmpfs '{folder}' && {command}", "sh",
    ];

    private static string? Try()
    {
        string folder = Directory.CreateTempSubdirectory("barostep-disk-").FullName;
        try
        {
            var start = new System.Diagnostics.ProcessStartInfo("env") { RedirectStandardError = true };
            foreach (string argument in Under(folder, "true"))
                start.ArgumentList.Add(argument);
            using var tried = System.Diagnostics.Process.Start(start)!;
            string error = tried.StandardError.ReadToEnd();
            tried.WaitForExit();
            return tried.ExitCode == 0 ? null : $"no file system can be mounted in a namespace here: {error.Trim()}";
        }
        finally
        {
            Directory.Delete(folder);
        }
    }
}
