using Barostep.Safety;

namespace Barostep.Control.Valves;

/// <summary>
/// Brings the pressure to a set point with pulses of a fill and a bleed valve, one pure step a cycle. It acts on the
/// kernel's decision and on nothing else: without one that permits control it shuts or vents.
/// </summary>
/// <remarks>
/// Nothing is known beforehand of the volume or the valves. The first pulse is the shortest that there is; each further one
/// is at most twice as long as the last. A valve that a short pulse opens only in part does more than twice as much in one
/// twice as long, at most four times: so a longer pulse is taken to work by the square of its length, and a shorter one by
/// its length. Either errs on the side before the set point.
/// </remarks>
public static class ValveLoop
{
    /// <summary>Share of the way left that a pulse aims at.</summary>
    private const double ShareOfWay = 0.45;

    private const int MostGrowth = 2;

    /// <summary>By how many times what may be passed the shortest pulse may be doubted.</summary>
    private const int MostDoubt = 3;

    /// <summary>The last of the pressure may go at once: what half a second at the allowed rate would take.</summary>
    private const double SecondsOfFreeVent = 0.5;

    /// <summary>One step.</summary>
    /// <param name="settings">The bench's own figures.</param>
    /// <param name="state">What was remembered.</param>
    /// <param name="decision">What the kernel permits in this cycle.</param>
    /// <param name="reading">The newest reading of the pressure.</param>
    /// <param name="atmosphere">Towards which a vent goes.</param>
    /// <param name="nowMicros">Now.</param>
    /// <param name="next">What is to be remembered.</param>
    public static ValveCommand Step(
        ValveLoopSettings settings,
        in ValveLoopState state,
        in Decision decision,
        in SensorReading reading,
        Pressure atmosphere,
        long nowMicros,
        out ValveLoopState next)
    {
        ArgumentNullException.ThrowIfNull(settings);
        switch (decision.Action)
        {
            case SafetyAction.Control:
                return Approach(settings, state, decision.SetPoint, decision.RateMilliPascalsPerSecond, mayFill: true, reading, nowMicros, out next);
            case SafetyAction.Isolate:
                return Stand(ValveOrder.Shut, state, out next);
            case SafetyAction.Vent when MustComeDownSlowly(decision, reading, atmosphere):
                return Approach(settings, state, atmosphere, decision.RateMilliPascalsPerSecond, mayFill: false, reading, nowMicros, out next);
            case SafetyAction.Vent or SafetyAction.Rest or SafetyAction.Dump:
                return Stand(ValveOrder.Vent, state, out next);
            default:
                throw new ArgumentOutOfRangeException(nameof(decision));
        }
    }

    private static bool MustComeDownSlowly(in Decision decision, in SensorReading reading, Pressure atmosphere) =>
        decision.RateMilliPascalsPerSecond > 0 && reading.IsGood
        && (reading.Value - atmosphere).Pascals > decision.RateMilliPascalsPerSecond / 1000.0 * SecondsOfFreeVent;

    /// <summary>A standing order is said once; what was learned stays.</summary>
    private static ValveCommand Stand(ValveOrder order, in ValveLoopState state, out ValveLoopState next)
    {
        // Before the new state is written, which may be where the old one stands.
        ValveCommand command = state.Standing == order ? default : new ValveCommand(order, 0);
        next = state with { Standing = order, Awaited = ValveOrder.None, Side = 0 };
        return command;
    }

    private static ValveCommand Approach(
        ValveLoopSettings settings,
        in ValveLoopState state,
        Pressure setPoint,
        long rateMilliPascalsPerSecond,
        bool mayFill,
        in SensorReading reading,
        long nowMicros,
        out ValveLoopState next)
    {
        // Before the first pulse, and wherever nobody knows how they stand, both valves are shut.
        if (state.Standing != ValveOrder.Shut)
            return Stand(ValveOrder.Shut, state, out next);
        bool tells = reading.IsGood && reading.AskedAtMicros >= state.BelieveFromMicros && nowMicros >= state.BelieveFromMicros;
        if (!tells)
        {
            next = Watched(state, reading);
            return default;
        }

        next = Watched(Aimed(Learned(settings, state, reading), setPoint, reading.Value), reading);
        double way = (setPoint - reading.Value).Pascals * next.Side;
        if (way <= settings.Near.Pascals && -way <= settings.Passed.Pascals)
            return default;
        ValveOrder order = (way > 0) == (next.Side > 0) ? ValveOrder.Fill : ValveOrder.Bleed;
        if (order == ValveOrder.Fill && !mayFill)
            return default;
        ValveEffect effect = order == ValveOrder.Fill ? next.Fill : next.Bleed with { PerMicro = next.Bleed.PerMicro * reading.Value.Pascals };
        long pulse = PulseFor(settings, effect, Math.Abs(way), rateMilliPascalsPerSecond);
        if (pulse == 0)
            return default;
        next = next with
        {
            Awaited = order,
            PulseMicros = pulse,
            Before = reading.Value,
            BelieveFromMicros = nowMicros + pulse + settings.RestMicros,
            Pulses = next.Pulses + 1,
        };
        return new ValveCommand(order, pulse);
    }

    private static ValveLoopState Watched(in ValveLoopState state, in SensorReading reading) =>
        reading.IsGood && reading.AskedAtMicros > state.EarlierAskedMicros
            ? state with { Earlier = reading.Value, EarlierAskedMicros = reading.AskedAtMicros }
            : state;

    /// <summary>
    /// Learns from what a pulse changed. Gas that was compressed cools meanwhile, and expanded gas warms: what it drifts back
    /// by is no part of what the valve did, and the pulse that passes a set point does so at once.
    /// </summary>
    private static ValveLoopState Learned(ValveLoopSettings settings, in ValveLoopState state, in SensorReading reading)
    {
        double change = (reading.Value - state.Before).Pascals;
        double between = (reading.AskedAtMicros - state.EarlierAskedMicros) / 1e6;
        double drift = between > 0 ? (reading.Value - state.Earlier).Pascals / between : 0;
        double since = (reading.AskedAtMicros - (state.BelieveFromMicros - settings.RestMicros)) / 1e6;
        if (Math.Sign(drift) == -Math.Sign(change))
            change -= drift * since;
        return state.Awaited switch
        {
            ValveOrder.Fill => state with { Awaited = ValveOrder.None, Fill = state.Fill.After(state.PulseMicros, change) },
            ValveOrder.Bleed => state with { Awaited = ValveOrder.None, Bleed = state.Bleed.After(state.PulseMicros, -change / state.Before.Pascals) },
            ValveOrder.None or ValveOrder.Shut or ValveOrder.Vent => state,
            _ => throw new ArgumentOutOfRangeException(nameof(state)),
        };
    }

    /// <summary>The side from which a set point is approached is the one on which the pressure was when it came.</summary>
    private static ValveLoopState Aimed(in ValveLoopState state, Pressure setPoint, Pressure value)
    {
        if (state.Side != 0 && state.SetPoint == setPoint)
            return state;
        return state with { SetPoint = setPoint, Side = value <= setPoint ? 1 : -1 };
    }

    /// <summary>Length of the next pulse; 0 where even the shortest would pass the set point by more than it may.</summary>
    private static long PulseFor(ValveLoopSettings settings, ValveEffect effect, double wayPascals, long rateMilliPascalsPerSecond)
    {
        if (effect.PulseMicros == 0)
            return settings.ShortestPulseMicros;
        double atRate = rateMilliPascalsPerSecond / 1000.0 * settings.RestMicros / 1e6;
        double wanted = Math.Min(ShareOfWay * wayPascals, Math.Min(settings.LargestStep.Pascals, atRate));
        double most = Math.Min(MostGrowth * (double)effect.PulseMicros, settings.LongestPulseMicros);
        double last = effect.PulseMicros * effect.PerMicro;
        double ratio = wanted / last;
        long pulse = (long)Math.Min(effect.PulseMicros * (ratio > 1 ? Math.Sqrt(ratio) : ratio), most);
        if (pulse >= settings.ShortestPulseMicros)
            return pulse;
        // What the shortest pulse does lies between the square and the proportion: it must fit by the one, and nearly by the other.
        double least = settings.ShortestPulseMicros * effect.PerMicro;
        double square = least * Math.Min(1, settings.ShortestPulseMicros / (double)effect.PulseMicros);
        double room = settings.Passed.Pascals;
        return square <= wayPascals + room && least <= wayPascals + (MostDoubt * room) ? settings.ShortestPulseMicros : 0;
    }
}
