using System.Globalization;

namespace Barostep.Daemon.Benchmarks;

/// <summary>Processor time and memory of a process and of all that it started, from proc(5).</summary>
/// <param name="CpuSeconds">User and system time.</param>
/// <param name="Bytes">Resident memory; what several share counts for each.</param>
internal readonly record struct ProcessUse(double CpuSeconds, long Bytes)
{
    /// <summary>Of USER_HZ, which is 100 on every system that .NET runs on.</summary>
    private const double TicksPerSecond = 100;

    /// <summary>Of one process; zero when it is gone.</summary>
    public static ProcessUse Of(int process)
    {
        try
        {
            string[] fields = Fields(process);
            double ticks = double.Parse(fields[11], CultureInfo.InvariantCulture) + double.Parse(fields[12], CultureInfo.InvariantCulture);
            return new ProcessUse(ticks / TicksPerSecond, long.Parse(fields[21], CultureInfo.InvariantCulture) * Environment.SystemPageSize);
        }
        catch (Exception gone) when (gone is IOException or UnauthorizedAccessException)
        {
            return default;
        }
    }

    /// <summary>The processes that one has started.</summary>
    public static IReadOnlyList<int> ChildrenOf(int process)
    {
        var children = new List<int>();
        foreach (string folder in Directory.GetDirectories("/proc"))
        {
            if (!int.TryParse(Path.GetFileName(folder), NumberStyles.None, CultureInfo.InvariantCulture, out int one))
                continue;
            try
            {
                if (Fields(one)[1] == process.ToString(CultureInfo.InvariantCulture))
                    children.Add(one);
            }
            catch (IOException)
            {
                // It has ended since the folder was listed.
            }
        }

        return children;
    }

    /// <summary>The fields of /proc/PID/stat behind the name, which can hold blanks: state first, parent next.</summary>
    private static string[] Fields(int process)
    {
        string text = File.ReadAllText(string.Create(CultureInfo.InvariantCulture, $"/proc/{process}/stat"));
        return text[(text.LastIndexOf(')') + 2)..].Split(' ');
    }
}
