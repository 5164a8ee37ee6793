namespace Barostep.Simulators.Wire;

/// <summary>What is wrong with one line now. The defaults are a healthy line.</summary>
/// <remarks>Fields, because each strike counts down in place.</remarks>
internal sealed class WireFaults
{
    /// <summary>The reply is lost.</summary>
    public FaultCount Silence;

    /// <summary>One byte of the reply is changed.</summary>
    public FaultCount Garble;

    /// <summary>The second half of the reply is lost.</summary>
    public FaultCount Truncate;

    /// <summary>The reply comes twice.</summary>
    public FaultCount Duplicate;

    /// <summary>The reply is kept and sent in place of the next one.</summary>
    public FaultCount Late;

    /// <summary>The reply's terminator is lost.</summary>
    public FaultCount Merge;

    /// <summary>Added to the turnaround.</summary>
    public long DelayMicros { get; set; }

    /// <summary>Each request byte comes back.</summary>
    public bool Echo { get; set; }

    /// <summary>Host and instrument run at different speeds: neither understands a byte of the other.</summary>
    public bool WrongSpeed { get; set; }

    /// <summary>Time between random bytes; 0 for none.</summary>
    public long GarbagePeriodMicros { get; set; }

    public void Clear()
    {
        Silence = default;
        Garble = default;
        Truncate = default;
        Duplicate = default;
        Late = default;
        Merge = default;
        DelayMicros = 0;
        Echo = false;
        WrongSpeed = false;
        GarbagePeriodMicros = 0;
    }
}
