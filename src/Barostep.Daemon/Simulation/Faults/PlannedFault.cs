using System.Globalization;
using Barostep.Lines;

namespace Barostep.Daemon.Simulation.Faults;

/// <summary>Where in a state a fault begins.</summary>
internal enum FaultMoment
{
    /// <summary>With the state, before what it brings is sent.</summary>
    Entry,

    /// <summary>Between a command and its acknowledgement.</summary>
    Sent,

    /// <summary>Between the acknowledgement and the first effect on the gas.</summary>
    Acknowledged,

    /// <summary>In the steady middle.</summary>
    Middle,

    /// <summary>Within one poll of where the pressure passes its target.</summary>
    Crossing,

    /// <summary>While a trip is being carried out.</summary>
    Tripping,
}

/// <summary>When a fault begins: in a state at a moment, or at a time.</summary>
/// <param name="State">Null for a time.</param>
/// <param name="Moment">Ignored for a time.</param>
/// <param name="AtMicros">Bench time; ignored in a state.</param>
internal readonly record struct FaultTime(BenchState? State, FaultMoment Moment, long AtMicros)
{
    public static FaultTime At(long micros) => new(null, default, micros);

    public static FaultTime In(BenchState state, FaultMoment moment) => new(state, moment, 0);

    public override string ToString() => State is { } state
        ? $"{state}.{Moment}".ToLowerInvariant()
        : string.Create(CultureInfo.InvariantCulture, $"{AtMicros / 1e6:0.######}");
}

/// <summary>One fault of a list: what, how much, when, for how long.</summary>
/// <param name="Kind">What.</param>
/// <param name="Size">Which of the kind's sizes, from 0.</param>
/// <param name="When">From when.</param>
/// <param name="DurationMicros">For how long; <see cref="Forever"/> until somebody mends it.</param>
internal sealed record PlannedFault(FaultKind Kind, int Size, FaultTime When, long DurationMicros)
{
    public const long Forever = long.MaxValue;

    private const string Form = "write NAME[:SIZE]@TIME+SECONDS, as in reference-silence@settle.middle+3 or fill-stuck-open:1@12.5+forever";

    /// <summary>Reads a list as <see cref="ToString"/> writes its members, separated by commas.</summary>
    /// <exception cref="RefusedException">It is not one; the message says what to write.</exception>
    public static IReadOnlyList<PlannedFault> ParseList(string text) =>
        [.. text.Split(',', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries).Select(Parse)];

    public override string ToString()
    {
        string size = Kind.Sizes.Count > 1 ? $":{Size}" : string.Empty;
        string duration = DurationMicros == Forever ? "forever" : string.Create(CultureInfo.InvariantCulture, $"{DurationMicros / 1e6:0.######}");
        return $"{Kind.Name}{size}@{When}+{duration}";
    }

    private static PlannedFault Parse(string text)
    {
        int at = text.IndexOf('@', StringComparison.Ordinal);
        int plus = text.LastIndexOf('+');
        if (at < 0 || plus < at)
            throw new RefusedException($"'{text}' is no fault: {Form}");
        string[] what = text[..at].Split(':');
        FaultKind kind = FaultCatalogue.Named(what[0]);
        int size = 0;
        if (what.Length > 2 || (what.Length == 2 && !(int.TryParse(what[1], NumberStyles.None, CultureInfo.InvariantCulture, out size) && size < kind.Sizes.Count)))
            throw new RefusedException($"'{text}': {kind.Name} has the sizes 0 to {kind.Sizes.Count - 1}: {string.Join(", ", kind.Sizes)}");
        string duration = text[(plus + 1)..];
        return new PlannedFault(kind, size, TimeOf(text, text[(at + 1)..plus]), duration == "forever" ? Forever : Micros(text, duration));
    }

    private static FaultTime TimeOf(string text, string time)
    {
        string[] words = time.Split('.');
        bool inState = words.Length == 2 && Enum.TryParse(words[0], ignoreCase: true, out BenchState state) && !char.IsDigit(words[0][0])
            && Enum.TryParse(words[1], ignoreCase: true, out FaultMoment moment);
        return inState
            ? FaultTime.In(Enum.Parse<BenchState>(words[0], ignoreCase: true), Enum.Parse<FaultMoment>(words[1], ignoreCase: true))
            : FaultTime.At(Micros(text, time));
    }

    private static long Micros(string text, string seconds) =>
        double.TryParse(seconds, NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out double value) && value < 1e6
            ? (long)Math.Round(value * 1e6)
            : throw new RefusedException($"'{seconds}' in '{text}' is no time: {Form}; states are {string.Join(", ", Enum.GetNames<BenchState>()).ToLowerInvariant()}, moments {string.Join(", ", Enum.GetNames<FaultMoment>()).ToLowerInvariant()}");
}
