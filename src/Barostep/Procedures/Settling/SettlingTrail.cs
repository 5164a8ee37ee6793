using System.Collections.Immutable;

namespace Barostep.Procedures.Settling;

/// <summary>What a pair was read for.</summary>
public enum TrailMoment
{
    /// <summary>On the way to a point.</summary>
    Following,

    /// <summary>At a point or a hold, before or during its reading.</summary>
    Settling,

    /// <summary>The first pair of a reading that counts, or of a new try.</summary>
    ReadingBegins,
}

/// <summary>One pair of a run with what it was read for.</summary>
public readonly record struct TrailPair(TrailMoment Moment, SettlingPair Pair);

/// <summary>Why a point was read when it was.</summary>
/// <param name="AtBeginning">What was still to come when the reading began; null where too few pairs said so.</param>
/// <param name="OverReading">What was left over the reading, known after it; null likewise.</param>
/// <param name="LimitPascals">What may be left, with its uncertainty.</param>
/// <param name="CoverageFactor">Multiple of the standard uncertainty that was added.</param>
/// <param name="ReadingSeconds">Length of a reading that the forecasts are made for.</param>
/// <param name="LeastNoisePascals">Noise of a pair that is assumed at least.</param>
/// <param name="Trail">The pairs since the last point, in the order in which they were read: with those of all points before, enough to make the decision again.</param>
public sealed record SettlingDecision(
    SettlingForecast? AtBeginning,
    SettlingForecast? OverReading,
    double LimitPascals,
    double CoverageFactor,
    double ReadingSeconds,
    double LeastNoisePascals,
    ImmutableList<TrailPair> Trail);

/// <summary>Makes the decisions of a run again from what its points recorded.</summary>
public static class SettlingReplay
{
    /// <summary>For each decision, in order, the forecasts that its trail and those before it give.</summary>
    public static IEnumerable<(SettlingForecast? AtBeginning, SettlingForecast? OverReading)> Of(IEnumerable<SettlingDecision> decisions)
    {
        SettlingModel? model = null;
        foreach (SettlingDecision decision in decisions)
        {
            model ??= SettlingModel.Begin(decision.LeastNoisePascals);
            SettlingForecast? beginning = null;
            foreach (TrailPair entry in decision.Trail)
            {
                if (entry.Moment == TrailMoment.ReadingBegins)
                {
                    beginning = model.Forecast(decision.ReadingSeconds);
                    model = model.BeginReading();
                }

                model = entry.Moment == TrailMoment.Following ? model.Follow(entry.Pair) : model.Settle(entry.Pair);
            }

            yield return (beginning, model.OverReading());
        }
    }
}
