using System.Runtime.InteropServices;

namespace Barostep.Lines;

/// <summary>Whether this program may use a port, and what to do where it may not.</summary>
/// <param name="IsGranted">Whether it may read and write.</param>
/// <param name="Group">The group that owns the port; null where that cannot be told.</param>
/// <param name="Advice">What to do; empty where nothing needs doing.</param>
public sealed record PortPermission(bool IsGranted, string? Group, string Advice)
{
    private const int ReadAndWrite = 4 | 2;

    /// <summary>Looks at a port; null where there is no such file.</summary>
    public static PortPermission? Of(string port)
    {
        ArgumentNullException.ThrowIfNull(port);
        if (!File.Exists(port))
            return null;
        string? group = GroupOf(port);
        if (access(port, ReadAndWrite) == 0)
            return new PortPermission(true, group, string.Empty);
        bool groupMay = File.GetUnixFileMode(port).HasFlag(UnixFileMode.GroupRead | UnixFileMode.GroupWrite);
        string user = Environment.UserName;
        string advice = group is not null && groupMay
            ? $"{user} may not use it; it belongs to the group {group}: run 'sudo usermod -aG {group} {user}', then log in again"
            : $"{user} may not use it, and its group may not either; install config/udev/60-barostep.rules, or see who owns it with 'ls -l {port}'";
        return new PortPermission(false, group, advice);
    }

    private static string? GroupOf(string port)
    {
        // The size and layout of the system's own structure differ; its tool does not.
        try
        {
            using var stat = System.Diagnostics.Process.Start(new System.Diagnostics.ProcessStartInfo("stat", ["-L", "-c", "%G", port])
            {
                RedirectStandardOutput = true,
                RedirectStandardError = true,
            });
            string group = stat?.StandardOutput.ReadToEnd().Trim() ?? string.Empty;
            stat?.WaitForExit();
            return group.Length == 0 || group == "UNKNOWN" ? null : group;
        }
        catch (System.ComponentModel.Win32Exception)
        {
            return null;
        }
    }

    [DllImport("libc", SetLastError = true)]
    private static extern int access([MarshalAs(UnmanagedType.LPUTF8Str)] string path, int mode);
}
