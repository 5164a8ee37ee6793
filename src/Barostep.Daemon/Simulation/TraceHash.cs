namespace Barostep.Daemon.Simulation;

/// <summary>One number for everything that passed a line, was told by the guard, or happened to the gas, and when (FNV-1a).</summary>
internal sealed class TraceHash
{
    private const ulong Prime = 1099511628211;

    public ulong Value { get; private set; } = 14695981039346656037;

    public void Add(long number)
    {
        // Whole words at a time: the order and every bit still count.
        Value = unchecked((Value ^ (ulong)number) * Prime);
        Value ^= Value >> 29;
    }

    public void Add(double number) => Add(BitConverter.DoubleToInt64Bits(number));

    public void Add(ReadOnlySpan<byte> bytes)
    {
        foreach (byte one in bytes)
            Value = unchecked((Value ^ one) * Prime);
    }
}
