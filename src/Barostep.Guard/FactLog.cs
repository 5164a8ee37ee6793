using System.Collections.Concurrent;

namespace Barostep.Guard;

/// <summary>Writes one line a fact to standard error, on a thread of its own: whoever reads it slowly delays no cycle.</summary>
internal sealed class FactLog : IDisposable
{
    private readonly BlockingCollection<string> facts = new(64);
    private readonly Thread writer;
    private readonly string bench;

    public FactLog(string bench)
    {
        this.bench = bench;
        writer = new Thread(Write) { IsBackground = true, Name = "facts" };
        writer.Start();
    }

    /// <summary>Tells a fact, unless too many wait already.</summary>
    public void Tell(string fact) => facts.TryAdd(fact);

    public void Dispose()
    {
        facts.CompleteAdding();
        // Nobody may be reading any more: what is not written soon is not waited for.
        writer.Join(TimeSpan.FromSeconds(1));
    }

    private void Write()
    {
        foreach (string fact in facts.GetConsumingEnumerable())
            Console.Error.WriteLine($"guard {bench}: {fact}");
    }
}
