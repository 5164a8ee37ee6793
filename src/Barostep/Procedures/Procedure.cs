using Barostep.Procedures.Settling;

namespace Barostep.Procedures;

/// <summary>What to do when a point does not settle in time.</summary>
public enum TimeoutPolicy
{
    /// <summary>Read the point all the same and mark it unsettled.</summary>
    Flag,

    /// <summary>Vent and end the run.</summary>
    Abort,
}

/// <summary>What to do when the pressure passed a point by more than the allowed share.</summary>
public enum OvershootPolicy
{
    /// <summary>Back off and approach the point again from the correct side, then flag it if that fails too.</summary>
    Again,

    /// <summary>Read the point and mark it approached from the wrong side.</summary>
    Flag,

    /// <summary>Learn by how much the source passes its set points and ask for less first; as <see cref="Again"/> where that fails.</summary>
    Avoid,
}

/// <summary>The two ways in which a person reads a dial gauge against a reference.</summary>
public enum PointerMethod
{
    /// <summary>The pressure is set, and the person enters where the pointer stands.</summary>
    Read,

    /// <summary>The person brings the pointer to the mark, and the reference is read: no place between two lines has to be judged.</summary>
    SetOnMark,
}

/// <summary>When a point counts as settled. Shares are of the device's span; band, slope and dwell must hold, or band, dwell and rest.</summary>
/// <param name="BandOfSpan">The reference stays within ± this share around the set point.</param>
/// <param name="WindowMicros">For this long.</param>
/// <param name="SlopeOfSpanPerSecond">And its slope over the window is below this.</param>
/// <param name="MinimumDwellMicros">And this long has passed since the set point was first reached.</param>
/// <param name="TimeoutMicros">Longest wait, counted from the request of the set point.</param>
/// <param name="OnTimeout">What to do then.</param>
/// <param name="Rest">Instead of window and slope: what may still be to come of the error; null for the plain criterion.</param>
public sealed record StabilityCriterion(
    double BandOfSpan,
    long WindowMicros,
    double SlopeOfSpanPerSecond,
    long MinimumDwellMicros,
    long TimeoutMicros,
    TimeoutPolicy OnTimeout,
    PredictedRest? Rest = null);

/// <summary>Whether the assembled bench is tight, asked before the first series.</summary>
/// <param name="PressureOfSpan">Where it is tested, as a share of the device's span.</param>
/// <param name="SettleMicros">Time under control before the source is shut off, for the gas to cool.</param>
/// <param name="HoldMicros">Time shut off, over which the fall is measured.</param>
/// <param name="LimitOfSpanPerMinute">Largest change that still counts as tight.</param>
public sealed record LeakTest(double PressureOfSpan, long SettleMicros, long HoldMicros, double LimitOfSpanPerMinute);

/// <summary>How pressure switches are tested: slowly up until the contact changes and down until it goes back, several times.</summary>
/// <param name="RateOfSpanPerSecond">Rate of the ramp, as a share of the leading device's span.</param>
/// <param name="Repeats">How often, at least 1.</param>
/// <param name="MarginOfSpan">How far beyond the switch's own two pressures the ramp begins and gives up.</param>
public sealed record SwitchTest(double RateOfSpanPerSecond, int Repeats, double MarginOfSpan);

/// <summary>One cycle of a procedure: up through its points and, where it descends, down again.</summary>
/// <param name="Number">From 1.</param>
/// <param name="PointsOfSpan">Rising, as shares of the device's span.</param>
/// <param name="Descending">Whether it comes down through the same points.</param>
/// <param name="Remounted">Whether a person takes the device off and mounts it again before it.</param>
public sealed record ProcedureCycle(int Number, IReadOnlyList<double> PointsOfSpan, bool Descending, bool Remounted);

/// <summary>A calibration procedure: what to do to a device, independent of bench and device range.</summary>
public sealed record Procedure
{
    /// <summary>The name by which commands call it: the file's name without its ending.</summary>
    public required string Name { get; init; }

    public required string Title { get; init; }

    /// <summary>What a person confirms before anything moves; null where nobody is asked.</summary>
    public string? Confirmation { get; init; }

    /// <summary>Null where the bench is not tested for leaks.</summary>
    public LeakTest? LeakTest { get; init; }

    /// <summary>Null where it has nothing for pressure switches; not used where no switch is on the manifold.</summary>
    public SwitchTest? SwitchTest { get; init; }

    /// <summary>Ascending points as shares of the device's span, 0 to 1, strictly increasing.</summary>
    public required IReadOnlyList<double> PointsOfSpan { get; init; }

    /// <summary>Whether each cycle comes down again through the same points.</summary>
    public required bool Descending { get; init; }

    /// <summary>How many times the series is run, at least 1.</summary>
    public required int Cycles { get; init; }

    /// <summary>Whether the last of <see cref="Cycles"/> rises only.</summary>
    public bool LastCycleRisesOnly { get; init; }

    /// <summary>The cycle before which the device is mounted again; 0 for none.</summary>
    public int RemountBeforeCycle { get; init; }

    /// <summary>Loads to the upper range end after the device was mounted again.</summary>
    public int RemountPreloads { get; init; }

    /// <summary>Points that are taken again, rising, after the cycles; empty for none.</summary>
    public IReadOnlyList<double> RepeatPointsOfSpan { get; init; } = [];

    /// <summary>How often they are.</summary>
    public int Repeats { get; init; }

    /// <summary>Least time at the upper end before a series descends from it.</summary>
    public long TopHoldMicros { get; init; }

    /// <summary>Every cycle in order, those that take some points again at the end.</summary>
    public IReadOnlyList<ProcedureCycle> Series =>
    [
        .. Enumerable.Range(1, Cycles).Select(number =>
            new ProcedureCycle(number, PointsOfSpan, Descending && !(LastCycleRisesOnly && number == Cycles), number == RemountBeforeCycle)),
        .. Enumerable.Range(Cycles + 1, RepeatPointsOfSpan.Count == 0 ? 0 : Repeats).Select(number =>
            new ProcedureCycle(number, RepeatPointsOfSpan, Descending: false, Remounted: false)),
    ];

    /// <summary>Loads to the upper range end before the first series.</summary>
    public required int Preloads { get; init; }

    /// <summary>Time held at the top, and again at the bottom, of each preload.</summary>
    public required long PreloadHoldMicros { get; init; }

    /// <summary>Whether the vented zero is read before the first and after the last series.</summary>
    public required bool ReadZero { get; init; }

    /// <summary>Rate of change that the run asks for, as a share of span per second.</summary>
    public required double RateOfSpanPerSecond { get; init; }

    public required StabilityCriterion Settle { get; init; }

    /// <summary>Samples taken at each point, at least 2.</summary>
    public required int Samples { get; init; }

    /// <summary>Time between samples.</summary>
    public required long SampleIntervalMicros { get; init; }

    /// <summary>Share of span by which a point may be passed before the approach counts as wrong.</summary>
    public required double OvershootOfSpan { get; init; }

    public required OvershootPolicy OnOvershoot { get; init; }

    /// <summary>How a dial gauge is read; ignored for every other device.</summary>
    public PointerMethod Pointer { get; init; }
}
