using System.Collections.Concurrent;

namespace Barostep.Guard;

/// <summary>Writes one line a fact to standard error, on a thread of its own: whoever reads it slowly delays no cycle.</summary>
internal sealed class FactLog : IDisposable
{
    private readonly BlockingCollection<string> _facts = new(64);
    private readonly Thread _writer;
    private readonly string _bench;

    public FactLog(string bench)
    {
        _bench = bench;
        _writer = new Thread(Write) { IsBackground = true, Name = "facts" };
        _writer.Start();
    }

    /// <summary>Tells a fact, unless too many wait already.</summary>
    public void Tell(string fact) => _facts.TryAdd(fact);

    public void Dispose()
    {
        _facts.CompleteAdding();
        // Nobody may be reading any more: what is not written soon is not waited for.
        _writer.Join(TimeSpan.FromSeconds(1));
    }

    private void Write()
    {
        foreach (string fact in _facts.GetConsumingEnumerable())
            Console.Error.WriteLine($"guard {_bench}: {fact}");
    }
}
