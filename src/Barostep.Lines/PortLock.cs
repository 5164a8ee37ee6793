using System.Globalization;

namespace Barostep.Lines;

/// <summary>A port is held by another program, or the lock cannot be made.</summary>
public sealed class PortHeldException(string message) : IOException(message);

/// <summary>
/// A lock file <c>LCK..name</c> with the holder's process number, as the Filesystem Hierarchy Standard 3.0 (5.9) asks,
/// and beside it a guard file under an advisory lock: a port's exclusive mode alone lets the superuser in, and a process
/// number alone is a race. The guard is never removed, so that no one can lock a file that is already gone.
/// </summary>
public sealed class PortLock : IDisposable
{
    /// <summary>First the standard's folder, then places where a user without rights to it can write.</summary>
    private static readonly string[] Folders =
    [
        "/run/lock",
        Environment.GetEnvironmentVariable("XDG_RUNTIME_DIR") ?? string.Empty,
        System.IO.Path.GetTempPath(),
    ];

    /// <summary>Links followed before the name is taken as it is; a loop of links has no end.</summary>
    private const int MostLinks = 16;

    private readonly FileStream _guard;

    private PortLock(FileStream guard, string path)
    {
        _guard = guard;
        Path = path;
    }

    /// <summary>The lock file.</summary>
    public string Path { get; }

    /// <summary>Takes the lock of a port in the proper folder.</summary>
    /// <exception cref="PortHeldException">Another living process holds it; the message says which.</exception>
    public static PortLock Take(string port) => Take(port, Array.Find(Folders, IsWritable) ?? System.IO.Path.GetTempPath());

    /// <summary>Takes the lock of a port in a folder.</summary>
    /// <exception cref="PortHeldException">Another living process holds it; the message says which.</exception>
    public static PortLock Take(string port, string folder)
    {
        string path = System.IO.Path.Combine(folder, "LCK.." + FileName(port));
        FileStream guard = OpenGuard(path, port);
        try
        {
            if (Holder(path) is { } holder && holder != Environment.ProcessId && Directory.Exists($"/proc/{holder}"))
                throw Held(port, path, holder);
            File.WriteAllText(path, string.Create(CultureInfo.InvariantCulture, $"{Environment.ProcessId,10}\n"));
            return new PortLock(guard, path);
        }
        catch (UnauthorizedAccessException e)
        {
            guard.Dispose();
            throw Unwritable(port, path, e);
        }
        catch
        {
            guard.Dispose();
            throw;
        }
    }

    /// <summary>Who holds a port, for people; null where no living process does. Takes nothing.</summary>
    public static string? HolderOf(string port)
    {
        foreach (string folder in Folders.Where(folder => folder.Length > 0))
        {
            int? holder = Holder(System.IO.Path.Combine(folder, "LCK.." + FileName(port)));
            if (holder is { } process && Directory.Exists($"/proc/{process}"))
                return $"process {process} ({Command(process)})";
        }

        return null;
    }

    /// <summary>Gives the port back.</summary>
    public void Dispose()
    {
        if (_guard.CanRead)
            File.Delete(Path);
        _guard.Dispose();
    }

    private static FileStream OpenGuard(string path, string port)
    {
        string guard = path + ".guard";
        try
        {
            return new FileStream(guard, FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None);
        }
        catch (IOException) when (File.Exists(guard))
        {
            throw Held(port, path, Holder(path));
        }
        catch (UnauthorizedAccessException e)
        {
            throw Unwritable(port, guard, e);
        }
    }

    private static PortHeldException Unwritable(string port, string path, UnauthorizedAccessException e) =>
        new($"{port}: the lock file {path} cannot be written ({e.Message}); remove it if no program uses the port");

    private static PortHeldException Held(string port, string path, int? holder)
    {
        string name = holder is null ? "another program" : $"process {holder} ({Command(holder.Value)})";
        return new PortHeldException($"{port} is held by {name}, lock file {path}; stop that program first");
    }

    private static int? Holder(string path)
    {
        try
        {
            return int.TryParse(File.ReadAllText(path).Trim(), NumberStyles.None, CultureInfo.InvariantCulture, out int holder) ? holder : null;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return null;
        }
    }

    private static string Command(int process)
    {
        try
        {
            return File.ReadAllText($"/proc/{process}/comm").Trim();
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return "name unknown";
        }
    }

    /// <summary>The device's own name, links followed, so that two names of one port have one lock.</summary>
    private static string FileName(string port)
    {
        string target = port;
        for (int hop = 0; hop < MostLinks && new FileInfo(target).LinkTarget is { } next; hop++)
            target = System.IO.Path.GetFullPath(next, System.IO.Path.GetDirectoryName(System.IO.Path.GetFullPath(target)) ?? "/");
        string name = target.StartsWith("/dev/", StringComparison.Ordinal) ? target["/dev/".Length..] : target;
        return string.Concat(name.Select(c => char.IsAsciiLetterOrDigit(c) || c is '.' or '-' ? c : '_'));
    }

    private static bool IsWritable(string folder)
    {
        if (!Directory.Exists(folder))
            return false;
        string probe = System.IO.Path.Combine(folder, $"barostep-{Environment.ProcessId}-{Guid.NewGuid():N}");
        try
        {
            using FileStream file = new(probe, FileMode.CreateNew, FileAccess.Write, FileShare.None, 1, FileOptions.DeleteOnClose);
            return true;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return false;
        }
    }
}
