using System.Net.Sockets;
using System.Runtime.InteropServices;
using System.Text;

namespace Barostep.Lines.GuardLine;

/// <summary>The socket of a guard: one for each bench, in the folder where the bench's state is kept.</summary>
/// <remarks>Whole messages, not a stream: a record arrives complete or not at all, and one too long shows.</remarks>
public static partial class GuardSocket
{
    /// <summary>The system's own bound on the path of such a socket.</summary>
    private const int LongestPath = 107;

    private const int DoNotWait = 0x40;
    private const int NoSignal = 0x4000;

    /// <summary>The folder of one bench's guard: its socket and its lock.</summary>
    public static string FolderOf(string stateFolder) => Path.Combine(Path.GetFullPath(stateFolder), "guards");

    /// <summary>Where the guard of a bench listens.</summary>
    /// <exception cref="RefusedException">The system allows no path as long as that.</exception>
    public static string PathOf(string stateFolder, string bench)
    {
        string path = Path.Combine(FolderOf(stateFolder), $"{bench}.socket");
        return Encoding.UTF8.GetByteCount(path) <= LongestPath
            ? path
            : throw new RefusedException($"the path {path} is longer than the {LongestPath} bytes that a socket's path may have; choose a shorter state_folder");
    }

    public static Socket Create() => new(AddressFamily.Unix, SocketType.Seqpacket, ProtocolType.Unspecified);

    /// <summary>Sends one record without ever waiting; false where there is no room for it now, or nobody any more.</summary>
    public static bool TrySend(Socket socket, ReadOnlySpan<byte> record)
    {
        ArgumentNullException.ThrowIfNull(socket);
        try
        {
            return Send(socket.SafeHandle, record, (nuint)record.Length, DoNotWait | NoSignal) == record.Length;
        }
        catch (ObjectDisposedException)
        {
            return false;
        }
    }

    [LibraryImport("libc", EntryPoint = "send", SetLastError = true)]
    private static partial nint Send(SafeSocketHandle socket, ReadOnlySpan<byte> record, nuint length, int flags);
}
