namespace Barostep.Safety;

/// <summary>Whether the source and the relay do what they were told.</summary>
internal static class SourceChecks
{
    public static CauseSet Source(in SafetyState state, in Observation seen, SafetyLimits limits)
    {
        SourceReport source = seen.Source;
        return CauseSet.Empty
            .WithIf(!source.LineUp, Cause.SourceLineLost)
            .WithIf(source.RestartSeen, Cause.InstrumentRestarted)
            .WithIf(source.UnitChanged, Cause.UnitChanged)
            .WithIf(source.IdentityChanged, Cause.IdentityChanged)
            .WithIf(UpperLimitDiffers(source, limits), Cause.UpperLimitMismatch)
            .WithIf(SetPointDiffers(state, source, limits), Cause.ReadBackMismatch)
            | Mode(state, source, limits)
            | Pending(source, seen.NowMicros, limits);
    }

    public static CauseSet Relay(in SafetyState state, in Observation seen, SafetyLimits limits)
    {
        RelayReport relay = seen.Relay;
        bool shouldHaveFollowed = state.HasRun && relay.Fitted && relay.FeedbackKnown
            && Saturating.Subtract(seen.NowMicros, state.KeepAliveSinceMicros) > limits.RelayFollowsWithinMicros;
        return CauseSet.Empty
            .WithIf(relay.StopInputOpen, Cause.StopInputOpen)
            .WithIf(shouldHaveFollowed && state.KeepAlive && !relay.DumpShut, Cause.RelayNotShut)
            .WithIf(shouldHaveFollowed && !state.KeepAlive && relay.DumpShut, Cause.RelayStuckShut);
    }

    private static bool UpperLimitDiffers(in SourceReport source, SafetyLimits limits) =>
        limits.SourceUpperLimit is { } wanted && source.UpperLimitKnown
        && Saturating.Distance(source.UpperLimit.MilliPascals, wanted.MilliPascals) > limits.ReadBackTolerance.MilliPascals;

    private static bool SetPointDiffers(in SafetyState state, in SourceReport source, SafetyLimits limits) =>
        source.SetPointKnown && state.Action == SafetyAction.Control
        && IsAfter(source.SetPointAskedAtMicros, Math.Max(state.SetPointSinceMicros, state.ActionSinceMicros), limits)
        && Saturating.Distance(source.SetPoint.MilliPascals, state.SetPoint.MilliPascals) > limits.ReadBackTolerance.MilliPascals;

    private static CauseSet Mode(in SafetyState state, in SourceReport source, SafetyLimits limits)
    {
        if (source.Mode == SourceMode.Unknown || !state.HasRun || !IsAfter(source.ModeAskedAtMicros, state.ActionSinceMicros, limits))
            return CauseSet.Empty;
        bool shouldRegulate = state.Action == SafetyAction.Control;
        bool regulates = source.Mode == SourceMode.Controlling;
        return CauseSet.Empty
            .WithIf(shouldRegulate && !regulates, Cause.SourceLeftControl)
            .WithIf(!shouldRegulate && regulates, Cause.VentNotAcknowledged);
    }

    private static CauseSet Pending(in SourceReport source, long nowMicros, SafetyLimits limits)
    {
        long waited = Saturating.Subtract(nowMicros, source.PendingSinceMicros);
        return source.Pending switch
        {
            SafetyAction.Rest => CauseSet.Empty,
            SafetyAction.Control => CauseSet.Empty.WithIf(waited > limits.CommandAcknowledgedWithinMicros, Cause.CommandNotAcknowledged),
            SafetyAction.Isolate or SafetyAction.Vent or SafetyAction.Dump =>
                CauseSet.Empty.WithIf(waited > limits.VentAcknowledgedWithinMicros, Cause.VentNotAcknowledged),
            _ => CauseSet.Of(Cause.InternalFault),
        };
    }

    /// <summary>A question asked too soon after a command is answered with what was before it.</summary>
    private static bool IsAfter(long askedAtMicros, long commandedMicros, SafetyLimits limits) =>
        askedAtMicros >= Saturating.Add(commandedMicros, limits.ReadBackLagMicros);
}
