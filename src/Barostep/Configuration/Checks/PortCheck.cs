using Barostep.Configuration.Files;

namespace Barostep.Configuration.Checks;

/// <summary>One instrument a port: two owners would garble each other's exchanges.</summary>
internal static class PortCheck
{
    public static void Check(IEnumerable<PortUse> ports, ErrorList errors)
    {
        var first = new Dictionary<string, PortUse>(StringComparer.Ordinal);
        foreach (PortUse use in ports.OrderBy(use => use.Where))
        {
            if (first.TryAdd(KeyOf(use), use))
                continue;
            PortUse earlier = first[KeyOf(use)];
            if (MayShare(use, earlier))
                continue;
            errors.Add(use.Where, $"port \"{use.Port}\" is taken by {earlier.Where.FileAndLine}", "one port has one instrument, on all benches together", TakesTurns(use.Place) && TakesTurns(earlier.Place)
                ? "name the port that this instrument is wired to, or give both an address of its own and the same line settings"
                : "name the port that this instrument is wired to");
        }
    }

    /// <summary>
    /// Whether two instruments can take turns on one line. Never the source, the reference or the dump valve: a vent or a
    /// look at the pressure must not wait for another instrument's reply.
    /// </summary>
    private static bool MayShare(PortUse use, PortUse earlier) =>
        use.Bench == earlier.Bench && TakesTurns(use.Place) && TakesTurns(earlier.Place)
        && use.Fitted is { } one && earlier.Fitted is { } other
        && one.Definition.Address is { } address && other.Definition.Address is { } taken && address != taken
        && one.Definition.Stream is null && other.Definition.Stream is null
        && (one.Baud ?? one.Definition.Line.Baud) == (other.Baud ?? other.Definition.Line.Baud)
        && one.Definition.Line with { Baud = 0, TurnRoundMicros = 0 } == other.Definition.Line with { Baud = 0, TurnRoundMicros = 0 };

    private static bool TakesTurns(string place) => place is "multimeter" or "barometer"
        || place.StartsWith("device", StringComparison.Ordinal) || place.StartsWith("input.", StringComparison.Ordinal);

    /// <summary>A bare name lies in the port folder of its own bench; a path or an address is the same for every bench.</summary>
    private static string KeyOf(PortUse use)
    {
        bool shared = use.Port.Contains('/', StringComparison.Ordinal);
        string port = use.Port.StartsWith("tcp://", StringComparison.OrdinalIgnoreCase) ? use.Port.ToLowerInvariant() : use.Port;
        return shared ? port : $"{use.Bench}\n{port}";
    }
}
