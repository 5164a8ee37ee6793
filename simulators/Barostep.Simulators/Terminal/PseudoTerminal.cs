using System.ComponentModel;
using System.Runtime.InteropServices;

namespace Barostep.Simulators.Terminal;

/// <summary>
/// A pseudo-terminal of our own: the master here, the slave held open and linked under a stable name for the host.
/// </summary>
/// <remarks>
/// The slave is raw before its name is published, or the terminal would echo and edit. Holding it keeps the master
/// readable while no host is there. A host that is killed leaves the slave in exclusive mode; <see cref="Release"/>
/// undoes that through the held slave.
/// </remarks>
internal sealed unsafe class PseudoTerminal : IDisposable
{
    // sizeof(struct termios) is 60 in glibc; the buffer is opaque to us.
    private const int AttributesSize = 128;

    private readonly string _link;
    private readonly int _slave;

    /// <exception cref="IOException">The terminal cannot be made or its link not be placed.</exception>
    public PseudoTerminal(string link, int baud)
    {
        _link = link;
        Master = Checked(
            Libc.OpenMaster(Libc.OpenReadWrite | Libc.OpenNoControllingTerminal | Libc.OpenCloseOnExec | Libc.OpenNonBlocking),
            "open a pseudo-terminal");
        Checked(Libc.Grant(Master), "grant the pseudo-terminal");
        Checked(Libc.Unlock(Master), "unlock the pseudo-terminal");
        string slaveName = SlaveName();
        _slave = Checked(
            Libc.Open(slaveName, Libc.OpenReadWrite | Libc.OpenNoControllingTerminal | Libc.OpenCloseOnExec), "open " + slaveName);
        MakeRaw(baud);
        Publish(slaveName);
    }

    public int Master { get; }

    /// <summary>The code of the speed that the host has set, as termios has it.</summary>
    public uint SpeedCode
    {
        get
        {
            byte* attributes = stackalloc byte[AttributesSize];
            return Libc.GetAttributes(Master, attributes) == 0 ? Libc.GetSpeed(attributes) : 0;
        }
    }

    /// <summary>Lets another host open the slave after one that was killed.</summary>
    public void Release() => _ = Libc.Control(_slave, Libc.LeaveExclusiveMode, 0);

    /// <summary>Bytes that the host has written; 0 when there are none.</summary>
    public int Read(Span<byte> buffer)
    {
        fixed (byte* start = buffer)
        {
            return (int)Math.Max(0, Libc.Read(Master, start, (nuint)buffer.Length));
        }
    }

    /// <summary>Hands bytes to the host; what does not fit because nobody reads is lost, as on a line.</summary>
    public void Write(ReadOnlySpan<byte> bytes)
    {
        fixed (byte* start = bytes)
        {
            int done = 0;
            while (done < bytes.Length)
            {
                nint written = Libc.Write(Master, start + done, (nuint)(bytes.Length - done));
                if (written <= 0)
                {
                    if (written < 0 && Marshal.GetLastPInvokeError() == Libc.InterruptedCall)
                    {
                        continue;
                    }

                    return;
                }

                done += (int)written;
            }
        }
    }

    public void Dispose()
    {
        // Only our own link: another bench may have taken the name meanwhile.
        if (new FileInfo(_link).LinkTarget == SlaveName())
        {
            File.Delete(_link);
        }

        _ = Libc.Close(_slave);
        _ = Libc.Close(Master);
    }

    private static int Checked(int result, string what) =>
        result >= 0 ? result : throw new IOException($"cannot {what}: {new Win32Exception(Marshal.GetLastPInvokeError()).Message}");

    private string SlaveName()
    {
        byte* name = stackalloc byte[64];
        return Libc.SlaveName(Master, name, 64) == 0
            ? Marshal.PtrToStringUTF8((nint)name)!
            : throw new IOException("cannot name the pseudo-terminal");
    }

    private void MakeRaw(int baud)
    {
        byte* attributes = stackalloc byte[AttributesSize];
        Checked(Libc.GetAttributes(_slave, attributes), "read the terminal's settings");
        Libc.MakeRaw(attributes);
        if (LineSpeed.CodeOf(baud) is { } code)
        {
            Checked(Libc.SetSpeed(attributes, code), $"set {baud} baud");
        }

        Checked(Libc.SetAttributes(_slave, Libc.ApplyNow, attributes), "make the terminal raw");
    }

    // Link under another name, then rename: whoever watches the name sees the old terminal or the new one.
    private void Publish(string slaveName)
    {
        string temporary = $"{_link}.{Environment.ProcessId}";
        try
        {
            File.Delete(temporary);
            File.CreateSymbolicLink(temporary, slaveName);
            File.Move(temporary, _link, overwrite: true);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new IOException($"cannot link {_link} to {slaveName}: {e.Message}");
        }
    }
}
