using System.Globalization;

namespace Barostep.Daemon.Lines;

/// <summary>A port is held by another program, or the lock cannot be made.</summary>
public sealed class PortHeldException(string message) : IOException(message);

/// <summary>
/// A lock file <c>LCK..name</c> with the holder's process number, as the Filesystem Hierarchy Standard 3.0 (5.9) asks,
/// together with an advisory lock on it: a port's exclusive mode alone lets the superuser in.
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

    private readonly FileStream file;

    private PortLock(FileStream file) => this.file = file;

    /// <summary>The lock file.</summary>
    public string Path => file.Name;

    /// <summary>Takes the lock of a port in the proper folder.</summary>
    /// <exception cref="PortHeldException">Another living process holds it; the message says which.</exception>
    public static PortLock Take(string port) => Take(port, Array.Find(Folders, IsWritable) ?? System.IO.Path.GetTempPath());

    /// <summary>Takes the lock of a port in a folder.</summary>
    /// <exception cref="PortHeldException">Another living process holds it; the message says which.</exception>
    public static PortLock Take(string port, string folder)
    {
        string path = System.IO.Path.Combine(folder, "LCK.." + FileName(port));
        FileStream file = OpenLocked(path, port);
        try
        {
            if (Holder(path) is { } holder && holder != Environment.ProcessId && Directory.Exists($"/proc/{holder}"))
                throw Held(port, path, holder);
            file.SetLength(0);
            file.Write(System.Text.Encoding.ASCII.GetBytes(string.Create(CultureInfo.InvariantCulture, $"{Environment.ProcessId,10}\n")));
            file.Flush();

            // Whoever held it last may have removed the file between our opening and our locking it.
            if (Holder(path) != Environment.ProcessId)
                throw Held(port, path, Holder(path));
            return new PortLock(file);
        }
        catch
        {
            file.Dispose();
            throw;
        }
    }

    /// <summary>Gives the port back.</summary>
    public void Dispose()
    {
        if (file.CanRead)
            File.Delete(file.Name);
        file.Dispose();
    }

    private static FileStream OpenLocked(string path, string port)
    {
        try
        {
            return new FileStream(path, FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None);
        }
        catch (IOException) when (File.Exists(path))
        {
            throw Held(port, path, Holder(path));
        }
        catch (UnauthorizedAccessException e)
        {
            throw new PortHeldException($"{port}: the lock file {path} cannot be written ({e.Message}); remove it if no program uses the port");
        }
    }

    private static PortHeldException Held(string port, string path, int? holder)
    {
        string name = holder is null ? "another program" : $"process {holder} ({Command(holder.Value)})";
        return new PortHeldException($"{port} is held by {name}, lock file {path}; stop that program first");
    }

    private static int? Holder(string path)
    {
        try
        {
            // Sharing everything takes no lock of its own, so that the holder can be read while it holds.
            using FileStream file = new(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete);
            using StreamReader reader = new(file);
            return int.TryParse(reader.ReadToEnd().Trim(), NumberStyles.None, CultureInfo.InvariantCulture, out int holder) ? holder : null;
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
        if (!port.Contains("://", StringComparison.Ordinal))
            target = new FileInfo(port).ResolveLinkTarget(returnFinalTarget: true)?.FullName ?? port;
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
