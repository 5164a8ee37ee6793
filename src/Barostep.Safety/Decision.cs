namespace Barostep.Safety;

/// <summary>What the kernel decided for one cycle.</summary>
/// <remarks>
/// Only the kernel can make one that permits anything: the constructor is internal and every member is read-only.
/// The default value rests, permits nothing and holds no lease, so that it may safely be passed where a source's
/// raising method takes a decision.
/// </remarks>
public readonly record struct Decision
{
    internal Decision(
        in SafetyState after,
        long tick,
        Verdict verdict,
        CauseSet causes,
        Pressure effectiveCeiling,
        Pressure effectiveFloor)
    {
        Tick = tick;
        Verdict = verdict;
        Causes = causes;
        Latched = after.Latched;
        FirstCause = after.FirstCause;
        TripNumber = after.TripNumber;
        Action = after.Action;
        SetPoint = after.SetPoint;
        RateMilliPascalsPerSecond = after.RateMilliPascalsPerSecond;
        LeaseUntilMicros = after.LeaseUntilMicros;
        KeepAlive = after.KeepAlive;
        SamplesVoid = after.SamplesVoid;
        Safe = after.Safe;
        Phase = after.Phase;
        EffectiveCeiling = effectiveCeiling;
        EffectiveFloor = effectiveFloor;
    }

    public long Tick { get; }

    /// <summary>The most severe verdict of <see cref="Causes"/> and <see cref="Latched"/>, and at least a hold while one lasts.</summary>
    public Verdict Verdict { get; }

    /// <summary>The causes that are present in this cycle.</summary>
    public CauseSet Causes { get; }

    /// <summary>The causes that stay although they may have gone: trips until acknowledged, aborts until vented.</summary>
    public CauseSet Latched { get; }

    /// <summary>The first cause of what is latched; <see cref="Cause.None"/> while nothing is.</summary>
    public Cause FirstCause { get; }

    /// <summary>Number of the latest trip, to be named by its acknowledgement; 0 before the first.</summary>
    public uint TripNumber { get; }

    public SafetyAction Action { get; }

    /// <summary>The approved set point, absolute; ignored unless <see cref="Action"/> is <see cref="SafetyAction.Control"/>.</summary>
    public Pressure SetPoint { get; }

    /// <summary>The largest rate of change, for <see cref="SafetyAction.Control"/> and <see cref="SafetyAction.Vent"/>.</summary>
    public long RateMilliPascalsPerSecond { get; }

    /// <summary>Until when pressure may be held or made without a new decision; 0 while it may not.</summary>
    public long LeaseUntilMicros { get; }

    /// <summary>Whether the dump valve's relay is to be kept energised, and so the valve shut.</summary>
    public bool KeepAlive { get; }

    /// <summary>Whether samples taken since the present step began are void (a warning or worse, or a stepped clock).</summary>
    public bool SamplesVoid { get; }

    /// <summary>Whether the bench is verified depressurised in this very cycle. It may be so in any phase but <see cref="GuardPhase.Permitted"/>.</summary>
    public bool Safe { get; }

    public GuardPhase Phase { get; }

    /// <summary>The ceiling in force: the lowest contribution, or lower where a person lowered it.</summary>
    public Pressure EffectiveCeiling { get; }

    public Pressure EffectiveFloor { get; }
}
