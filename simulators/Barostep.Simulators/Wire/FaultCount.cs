namespace Barostep.Simulators.Wire;

/// <summary>A fault that strikes the next so many replies, or every one.</summary>
internal struct FaultCount
{
    private int _left;

    public static FaultCount Always => new() { _left = int.MaxValue };

    public static FaultCount Next(int replies) => new() { _left = replies };

    /// <summary>Whether it strikes this reply; counts down.</summary>
    public bool Strikes()
    {
        if (_left == 0)
        {
            return false;
        }

        _left = _left == int.MaxValue ? _left : _left - 1;
        return true;
    }
}
