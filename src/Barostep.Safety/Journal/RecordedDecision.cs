using System.Text.Json;

namespace Barostep.Safety;

/// <summary>A decision as the journal keeps it.</summary>
/// <remarks>
/// A type of its own, because only the kernel may make a <see cref="Decision"/>: one read from a file must never be
/// able to raise pressure.
/// </remarks>
public readonly record struct RecordedDecision(
    long Tick,
    Verdict Verdict,
    CauseSet Causes,
    CauseSet Latched,
    Cause FirstCause,
    uint TripNumber,
    SafetyAction Action,
    Pressure SetPoint,
    long RateMilliPascalsPerSecond,
    long LeaseUntilMicros,
    bool KeepAlive,
    bool SamplesVoid,
    bool Safe,
    GuardPhase Phase,
    Pressure EffectiveCeiling,
    Pressure EffectiveFloor)
{
    /// <summary>The decision of a tick; false for every other kind of entry.</summary>
    /// <exception cref="JsonException">The tick cannot be read by this version.</exception>
    public static bool TryRead(JournalEntry entry, out RecordedDecision decision)
    {
        bool isTick = entry.Kind == JournalKind.Tick;
        decision = isTick ? TickFormat.ReadDecision(entry.Payload) : default;
        return isTick;
    }

    public static RecordedDecision Of(in Decision decision) => new(
        decision.Tick,
        decision.Verdict,
        decision.Causes,
        decision.Latched,
        decision.FirstCause,
        decision.TripNumber,
        decision.Action,
        decision.SetPoint,
        decision.RateMilliPascalsPerSecond,
        decision.LeaseUntilMicros,
        decision.KeepAlive,
        decision.SamplesVoid,
        decision.Safe,
        decision.Phase,
        decision.EffectiveCeiling,
        decision.EffectiveFloor);

    /// <summary>The first member that differs, as its name and both values; null where all are equal.</summary>
    public (string Field, string Then, string Now)? FirstDifference(in RecordedDecision now) => this == now
        ? null
        : Differs(nameof(Tick), Tick, now.Tick)
            ?? Differs(nameof(Verdict), Verdict, now.Verdict)
            ?? Differs(nameof(Causes), Causes, now.Causes)
            ?? Differs(nameof(Latched), Latched, now.Latched)
            ?? Differs(nameof(FirstCause), FirstCause, now.FirstCause)
            ?? Differs(nameof(TripNumber), TripNumber, now.TripNumber)
            ?? Differs(nameof(Action), Action, now.Action)
            ?? Differs(nameof(SetPoint), SetPoint, now.SetPoint)
            ?? Differs(nameof(RateMilliPascalsPerSecond), RateMilliPascalsPerSecond, now.RateMilliPascalsPerSecond)
            ?? Differs(nameof(LeaseUntilMicros), LeaseUntilMicros, now.LeaseUntilMicros)
            ?? Differs(nameof(KeepAlive), KeepAlive, now.KeepAlive)
            ?? Differs(nameof(SamplesVoid), SamplesVoid, now.SamplesVoid)
            ?? Differs(nameof(Safe), Safe, now.Safe)
            ?? Differs(nameof(Phase), Phase, now.Phase)
            ?? Differs(nameof(EffectiveCeiling), EffectiveCeiling, now.EffectiveCeiling)
            ?? Differs(nameof(EffectiveFloor), EffectiveFloor, now.EffectiveFloor);

    private static (string Field, string Then, string Now)? Differs<T>(string field, T then, T now)
        where T : struct =>
        EqualityComparer<T>.Default.Equals(then, now) ? null : (field, $"{then}", $"{now}");
}
