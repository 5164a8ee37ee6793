namespace Barostep.Evaluation.Devices;

/// <summary>The levels of a 4-20 mA loop (NAMUR NE 43): measuring 3.8 to 20.5 mA, a fault at 3.6 mA and below or 21.0 mA and above.</summary>
public static class LoopLevels
{
    public static LoopSignal Of(double milliamperes) => milliamperes switch
    {
        <= 3.6 or >= 21.0 => LoopSignal.Fault,
        < 3.8 or > 20.5 => LoopSignal.Saturated,
        _ => LoopSignal.Measuring,
    };
}
