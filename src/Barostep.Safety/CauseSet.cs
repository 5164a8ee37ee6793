namespace Barostep.Safety;

/// <summary>A set of causes as the bits of one number, so that a cycle allocates nothing.</summary>
/// <param name="Bits">Bit <c>n</c> is the cause whose value is <c>n</c>; bit 0 is never set.</param>
public readonly record struct CauseSet(ulong Bits)
{
    public static readonly CauseSet Empty;

    public bool IsEmpty => Bits == 0;

    public static CauseSet Of(Cause cause) => cause == Cause.None ? Empty : new(1UL << (int)cause);

    public static CauseSet operator |(CauseSet a, CauseSet b) => new(a.Bits | b.Bits);

    public static CauseSet operator &(CauseSet a, CauseSet b) => new(a.Bits & b.Bits);

    public static CauseSet operator -(CauseSet a, CauseSet b) => new(a.Bits & ~b.Bits);

    public static CauseSet BitwiseOr(CauseSet a, CauseSet b) => a | b;

    public static CauseSet BitwiseAnd(CauseSet a, CauseSet b) => a & b;

    public static CauseSet Subtract(CauseSet a, CauseSet b) => a - b;

    public bool Contains(Cause cause) => (Bits & Of(cause).Bits) != 0;

    public CauseSet With(Cause cause) => this | Of(cause);

    public CauseSet WithIf(bool present, Cause cause) => present ? With(cause) : this;

    public Enumerator GetEnumerator() => new(Bits);

    public override string ToString()
    {
        var names = new List<string>();
        foreach (Cause cause in this)
            names.Add(cause.ToString());
        return names.Count == 0 ? "none" : string.Join(", ", names);
    }

    /// <summary>Walks the causes in first-out order.</summary>
    public struct Enumerator
    {
        private ulong _rest;

        internal Enumerator(ulong bits)
        {
            _rest = bits;
            Current = Cause.None;
        }

        public Cause Current { get; private set; }

        public bool MoveNext()
        {
            if (_rest == 0)
                return false;
            Current = (Cause)System.Numerics.BitOperations.TrailingZeroCount(_rest);
            _rest &= _rest - 1;
            return true;
        }
    }
}
