using System.Runtime.InteropServices;
using System.Text;

namespace Barostep.Tests.Lines;

/// <summary>An instrument behind a real pseudo-terminal, reachable under a link. Disposal pulls the cable.</summary>
internal sealed class PseudoTerminal : IDisposable
{
    private const int ReadWriteNoTerminal = 0x2 | 0x100;
    private const int PollIn = 1;
    private const int PollMilliseconds = 20;

    private readonly int _master;
    private readonly int _slave;
    private readonly string _link;
    private readonly Thread _thread;
    private volatile bool _ending;

    public PseudoTerminal(string link, Func<string, string?> answer)
    {
        _link = link;
        Answer = answer;
        _master = Checked(posix_openpt(ReadWriteNoTerminal));
        Checked(grantpt(_master));
        Checked(unlockpt(_master));
        byte[] termios = new byte[128];
        Checked(tcgetattr(_master, termios));
        cfmakeraw(termios);
        Checked(tcsetattr(_master, 0, termios));
        byte[] name = new byte[64];
        Checked(ptsname_r(_master, name, name.Length));

        // Held open so that a client that leaves does not hang up the instrument's side.
        _slave = Checked(open(name, ReadWriteNoTerminal));
        string path = Encoding.ASCII.GetString(name).TrimEnd('\0');
        File.Delete(link);
        File.CreateSymbolicLink(link, path);
        _thread = new Thread(Serve) { IsBackground = true };
        _thread.Start();
    }

    public Func<string, string?> Answer { get; set; }

    /// <summary>Requests seen.</summary>
    public int Requests { get; private set; }

    public void Write(string text)
    {
        byte[] bytes = Encoding.Latin1.GetBytes(text);
        Assert.Equal(bytes.Length, write(_master, bytes, bytes.Length));
    }

    public void Dispose()
    {
        if (_ending)
            return;
        _ending = true;
        _thread.Join();
        File.Delete(_link);
        _ = close(_slave);
        _ = close(_master);
    }

    private void Serve()
    {
        StringBuilder request = new();
        byte[] chunk = new byte[256];
        while (!_ending)
        {
            PollEntry entry = new() { Descriptor = _master, Wanted = PollIn };
            if (poll(ref entry, 1, PollMilliseconds) <= 0)
                continue;
            int length = (int)read(_master, chunk, chunk.Length);
            for (int i = 0; i < length; i++)
                Take((char)chunk[i], request);
        }
    }

    private void Take(char c, StringBuilder request)
    {
        request.Append(c);
        if (c != '\n')
            return;
        string line = request.ToString().TrimEnd();
        request.Clear();
        Requests++;
        if (Answer(line) is { } reply)
            Write(reply + "\r\n");
    }

    private static int Checked(int result)
    {
        Assert.True(result >= 0, $"system call failed with {Marshal.GetLastPInvokeError()}");
        return result;
    }

    [DllImport("libc", SetLastError = true)]
    private static extern int posix_openpt(int flags);

    [DllImport("libc", SetLastError = true)]
    private static extern int grantpt(int descriptor);

    [DllImport("libc", SetLastError = true)]
    private static extern int unlockpt(int descriptor);

    [DllImport("libc", SetLastError = true)]
    private static extern int ptsname_r(int descriptor, byte[] name, nint length);

    [DllImport("libc", SetLastError = true)]
    private static extern int tcgetattr(int descriptor, byte[] termios);

    [DllImport("libc", SetLastError = true)]
    private static extern void cfmakeraw(byte[] termios);

    [DllImport("libc", SetLastError = true)]
    private static extern int tcsetattr(int descriptor, int when, byte[] termios);

    [DllImport("libc", SetLastError = true)]
    private static extern int open(byte[] path, int flags);

    [DllImport("libc", SetLastError = true)]
    private static extern int close(int descriptor);

    [DllImport("libc", SetLastError = true)]
    private static extern nint read(int descriptor, byte[] buffer, nint length);

    [DllImport("libc", SetLastError = true)]
    private static extern nint write(int descriptor, byte[] buffer, nint length);

    [DllImport("libc", SetLastError = true)]
    private static extern int poll(ref PollEntry entries, nuint count, int milliseconds);

    [StructLayout(LayoutKind.Sequential)]
    private struct PollEntry
    {
        public int Descriptor;
        public short Wanted;
        public short Seen;
    }
}
