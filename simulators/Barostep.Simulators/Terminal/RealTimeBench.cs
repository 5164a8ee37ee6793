using System.Diagnostics;
using System.Runtime.InteropServices;
using System.Text;
using Barostep.Simulators.Faults;

namespace Barostep.Simulators.Terminal;

/// <summary>
/// Runs a bench in real time on one thread: waits for the hosts' bytes, fault lines, or the next event of the bench,
/// whichever is first, and lets the bench catch up with the monotonic clock.
/// </summary>
internal sealed unsafe class RealTimeBench : IDisposable
{
    // The truth is sampled on the bench's grid; the wait only bounds how late its rows reach the file.
    private const long LongestWaitMicros = 5_000;
    private const long ReleasePeriodMicros = 500_000;
    private const int StandardInput = 0;

    private readonly SimulatedBench _bench;
    private readonly PortTerminal[] _terminals;
    private readonly List<byte> _line = [];
    private readonly byte[] _input = new byte[1024];
    private readonly long _startTicks = Stopwatch.GetTimestamp();
    private bool _inputOpen = true;
    private long _releaseAtMicros;

    /// <exception cref="IOException">A port cannot be made.</exception>
    public RealTimeBench(SimulatedBench bench, string directory)
    {
        _bench = bench;
        MakeDirectory(directory);
        _terminals = [.. bench.Ports.Select(p => new PortTerminal(p, Path.Combine(directory, p.Name)))];
    }

    /// <summary>True once standard input has ended.</summary>
    public bool InputEnded => !_inputOpen;

    private long ClockMicros => (long)Stopwatch.GetElapsedTime(_startTicks).TotalMicroseconds;

    /// <summary>One turn: wait, catch up, carry bytes both ways.</summary>
    public void Turn()
    {
        bool input = Wait();
        _bench.AdvanceTo(ClockMicros);
        foreach (PortTerminal terminal in _terminals)
        {
            terminal.TakeFromHost();
            terminal.GiveToHost();
        }

        if (input)
        {
            ReadFaultLines();
        }

        FollowCables();
        if (_bench.NowMicros >= _releaseAtMicros)
        {
            _releaseAtMicros = _bench.NowMicros + ReleasePeriodMicros;
            Array.ForEach(_terminals, t => t.Release());
        }
    }

    public void Dispose() => Array.ForEach(_terminals, t => t.Dispose());

    private void FollowCables() => Array.ForEach(_terminals, t => t.FollowCable());

    private static void MakeDirectory(string directory)
    {
        try
        {
            Directory.CreateDirectory(directory);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new IOException($"--ports {directory}: the directory cannot be made ({e.Message}): write one that can be written to");
        }
    }

    // Returns whether standard input has something.
    private bool Wait()
    {
        int count = _terminals.Length + 1;
        Libc.PollEntry* entries = stackalloc Libc.PollEntry[count];
        for (int i = 0; i < _terminals.Length; i++)
        {
            entries[i] = new Libc.PollEntry { Descriptor = _terminals[i].Descriptor, Events = Libc.PollIn };
        }

        entries[count - 1] = new Libc.PollEntry { Descriptor = _inputOpen ? StandardInput : -1, Events = Libc.PollIn };
        long wait = Math.Clamp(_bench.NextEventMicros - ClockMicros, 0, LongestWaitMicros);
        Libc.TimeSpecification timeout = new() { Nanoseconds = wait * 1000 };
        int ready = Libc.Poll(entries, (nuint)count, &timeout, null);
        return ready > 0 && entries[count - 1].Returned != 0;
    }

    private void ReadFaultLines()
    {
        fixed (byte* start = _input)
        {
            nint count = Libc.Read(StandardInput, start, (nuint)_input.Length);
            if (count < 0 && Marshal.GetLastPInvokeError() is Libc.TryAgain or Libc.InterruptedCall)
            {
                return;
            }

            if (count <= 0)
            {
                _inputOpen = false;
                return;
            }

            for (int i = 0; i < count; i++)
            {
                Take(_input[i]);
            }
        }
    }

    private void Take(byte value)
    {
        if (value != '\n')
        {
            _line.Add(value);
            return;
        }

        string line = Encoding.UTF8.GetString([.. _line]);
        _line.Clear();
        try
        {
            _bench.Inject(line);
            FollowCables();
        }
        catch (FaultLineException e)
        {
            Console.Error.WriteLine($"standard input: {e.Message}");
        }
    }
}
