using System.Runtime.InteropServices;

namespace Barostep.Simulators.Terminal;

/// <summary>The few calls of the C library that a pseudo-terminal takes. Constants are Linux's on x64 and arm64.</summary>
internal static partial class Libc
{
    public const int OpenReadWrite = 0x2;
    public const int OpenNoControllingTerminal = 0x100;
    public const int OpenNonBlocking = 0x800;
    public const int OpenCloseOnExec = 0x80000;
    public const int ApplyNow = 0;
    public const short PollIn = 1;
    public const short PollHangUp = 16;
    public const ulong LeaveExclusiveMode = 0x540D;
    public const int InterruptedCall = 4;
    public const int TryAgain = 11;

    [LibraryImport("libc", EntryPoint = "posix_openpt", SetLastError = true)]
    public static partial int OpenMaster(int flags);

    [LibraryImport("libc", EntryPoint = "grantpt", SetLastError = true)]
    public static partial int Grant(int master);

    [LibraryImport("libc", EntryPoint = "unlockpt", SetLastError = true)]
    public static partial int Unlock(int master);

    [LibraryImport("libc", EntryPoint = "ptsname_r", SetLastError = true)]
    public static unsafe partial int SlaveName(int master, byte* name, nuint length);

    [LibraryImport("libc", EntryPoint = "open", SetLastError = true, StringMarshalling = StringMarshalling.Utf8)]
    public static partial int Open(string path, int flags);

    [LibraryImport("libc", EntryPoint = "close", SetLastError = true)]
    public static partial int Close(int descriptor);

    [LibraryImport("libc", EntryPoint = "read", SetLastError = true)]
    public static unsafe partial nint Read(int descriptor, byte* buffer, nuint count);

    [LibraryImport("libc", EntryPoint = "write", SetLastError = true)]
    public static unsafe partial nint Write(int descriptor, byte* buffer, nuint count);

    [LibraryImport("libc", EntryPoint = "tcgetattr", SetLastError = true)]
    public static unsafe partial int GetAttributes(int descriptor, byte* attributes);

    [LibraryImport("libc", EntryPoint = "tcsetattr", SetLastError = true)]
    public static unsafe partial int SetAttributes(int descriptor, int when, byte* attributes);

    [LibraryImport("libc", EntryPoint = "cfmakeraw")]
    public static unsafe partial void MakeRaw(byte* attributes);

    [LibraryImport("libc", EntryPoint = "cfsetspeed", SetLastError = true)]
    public static unsafe partial int SetSpeed(byte* attributes, uint speed);

    [LibraryImport("libc", EntryPoint = "cfgetospeed")]
    public static unsafe partial uint GetSpeed(byte* attributes);

    [LibraryImport("libc", EntryPoint = "ioctl", SetLastError = true)]
    public static partial int Control(int descriptor, ulong request, nint argument);

    [LibraryImport("libc", EntryPoint = "ppoll", SetLastError = true)]
    public static unsafe partial int Poll(PollEntry* entries, nuint count, TimeSpecification* timeout, void* signals);

    /// <summary>struct pollfd.</summary>
    [StructLayout(LayoutKind.Sequential)]
    public struct PollEntry
    {
        public int Descriptor;
        public short Events;
        public short Returned;
    }

    /// <summary>struct timespec on 64-bit Linux.</summary>
    [StructLayout(LayoutKind.Sequential)]
    public struct TimeSpecification
    {
        public long Seconds;
        public long Nanoseconds;
    }
}
