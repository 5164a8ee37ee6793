namespace Barostep.Daemon.Guards;

/// <summary>How often a guard may be started: one that keeps dying stays down, with its dump valve open (SR-39).</summary>
internal sealed class RestartLimit
{
    private const int MostStarts = 3;

    private const long WindowMicros = 600_000_000;

    private readonly Queue<long> _starts = [];

    /// <summary>Counts a start; false where it would be one too many.</summary>
    public bool TryStart(long nowMicros)
    {
        while (_starts.TryPeek(out long oldest) && nowMicros - oldest >= WindowMicros)
            _starts.Dequeue();
        if (_starts.Count == MostStarts)
            return false;
        _starts.Enqueue(nowMicros);
        return true;
    }
}
