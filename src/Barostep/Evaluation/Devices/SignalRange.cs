namespace Barostep.Evaluation.Devices;

/// <summary>A standard signal of a transmitter (IEC 60381-1 for currents, IEC 60381-2 for voltages).</summary>
/// <param name="From">At the lower range end, A or V.</param>
/// <param name="To">At the upper range end.</param>
public sealed record SignalRange(string Name, double From, double To)
{
    public static readonly SignalRange Loop4To20 = new("4-20 mA", 0.004, 0.020);
    public static readonly SignalRange Current0To20 = new("0-20 mA", 0, 0.020);
    public static readonly SignalRange Voltage0To5 = new("0-5 V", 0, 5);
    public static readonly SignalRange Voltage1To5 = new("1-5 V", 1, 5);
    public static readonly SignalRange Voltage0To10 = new("0-10 V", 0, 10);

    public static readonly IReadOnlyList<SignalRange> All = [Loop4To20, Current0To20, Voltage0To5, Voltage1To5, Voltage0To10];

    /// <summary>0 at the lower and 1 at the upper end of the signal.</summary>
    public double ShareOf(double signal) => (signal - From) / (To - From);

    public double SignalAt(double share) => From + (share * (To - From));

    /// <summary>What the signal says besides its value; anything but a 4-20 mA loop can only measure (NAMUR NE 43).</summary>
    public LoopSignal Tells(double signal) => this == Loop4To20 ? LoopLevels.Of(signal * 1000) : LoopSignal.Measuring;
}
