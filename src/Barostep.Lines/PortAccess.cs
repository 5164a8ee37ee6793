using System.Runtime.InteropServices;

namespace Barostep.Lines;

/// <summary>Whether this program may use a port, and what to do where it may not.</summary>
/// <param name="IsGranted">Whether it may read and write.</param>
/// <param name="Group">The group that owns the port; null where that cannot be told.</param>
/// <param name="Advice">What to do; empty where nothing needs doing.</param>
public sealed record PortAccess(bool IsGranted, string? Group, string Advice)
{
    private const int ReadAndWrite = 4 | 2;

    /// <summary>Looks at a port; null where there is no such file.</summary>
    public static PortAccess? Of(string port)
    {
        ArgumentNullException.ThrowIfNull(port);
        if (!File.Exists(port))
            return null;
        (string? group, bool groupMay) = OwnersOf(port);
        if (access(port, ReadAndWrite) == 0)
            return new PortAccess(true, group, string.Empty);
        return new PortAccess(false, group, AdviceFor(port, Environment.UserName, group, groupMay));
    }

    /// <summary>What a user who may not use a port can do.</summary>
    internal static string AdviceFor(string port, string user, string? group, bool groupMay) =>
        group is not null && groupMay
            ? $"{user} may not use it; it belongs to the group {group}: run 'sudo usermod -aG {group} {user}', then log in again"
            : $"{user} may not use it, and its group may not either; install config/udev/60-barostep.rules, or see who owns it with 'ls -l {port}'";

    /// <summary>The group, and whether it may read and write.</summary>
    private static (string? Group, bool GroupMay) OwnersOf(string port)
    {
        // The size and layout of the system's own structure differ; its tool does not.
        try
        {
            using var stat = System.Diagnostics.Process.Start(new System.Diagnostics.ProcessStartInfo("stat", ["-L", "-c", "%G %a", port])
            {
                RedirectStandardOutput = true,
                RedirectStandardError = true,
            });
            string[] told = (stat?.StandardOutput.ReadToEnd() ?? string.Empty).Trim().Split(' ');
            stat?.WaitForExit();
            bool known = told.Length == 2 && told[1].Length >= 2 && told[0] != "UNKNOWN";
            return known ? (told[0], told[1][^2] is '6' or '7') : (null, false);
        }
        catch (System.ComponentModel.Win32Exception)
        {
            return (null, false);
        }
    }

    [DllImport("libc", SetLastError = true)]
    private static extern int access([MarshalAs(UnmanagedType.LPUTF8Str)] string path, int mode);
}
