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
            errors.Add(use.Where, $"port \"{use.Port}\" is taken by {earlier.Where.FileAndLine}", "one port has one instrument, on all benches together", "name the port that this instrument is wired to");
        }
    }

    /// <summary>A bare name lies in the port folder of its own bench; a path or an address is the same for every bench.</summary>
    private static string KeyOf(PortUse use)
    {
        bool shared = use.Port.Contains('/', StringComparison.Ordinal);
        string port = use.Port.StartsWith("tcp://", StringComparison.OrdinalIgnoreCase) ? use.Port.ToLowerInvariant() : use.Port;
        return shared ? port : $"{use.Bench}\n{port}";
    }
}
