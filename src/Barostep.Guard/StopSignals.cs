using System.Runtime.InteropServices;

namespace Barostep.Guard;

/// <summary>Counts wishes to stop: signals, and the end of standard input where a parent holds it.</summary>
internal sealed partial class StopSignals : IDisposable
{
    private readonly List<PosixSignalRegistration> _registrations = [];
    private int _count;

    /// <param name="untilStdinCloses">Whether the end of standard input is a wish too.</param>
    public StopSignals(bool untilStdinCloses)
    {
        foreach (PosixSignal signal in new[] { PosixSignal.SIGINT, PosixSignal.SIGTERM, PosixSignal.SIGHUP })
            _registrations.Add(PosixSignalRegistration.Create(signal, Take));
        if (!untilStdinCloses)
            return;

        // A key pressed at the parent's terminal is for the parent: it decides what becomes of its guard.
        _ = NewSession();
        new Thread(WaitForEnd) { IsBackground = true, Name = "parent" }.Start();
    }

    /// <summary>Called after each wish, on any thread; must not wait.</summary>
    public event Action? Heard;

    public int Count => Volatile.Read(ref _count);

    public void Dispose()
    {
        foreach (PosixSignalRegistration registration in _registrations)
            registration.Dispose();
    }

    [LibraryImport("libc", EntryPoint = "setsid")]
    private static partial int NewSession();

    private void Take(PosixSignalContext context)
    {
        context.Cancel = true;
        Add();
    }

    private void WaitForEnd()
    {
        using Stream input = Console.OpenStandardInput();
        Span<byte> ignored = stackalloc byte[64];
        while (input.Read(ignored) > 0)
        {
            // Only the end counts.
        }

        Add();
    }

    private void Add()
    {
        Interlocked.Increment(ref _count);
        Heard?.Invoke();
    }
}
