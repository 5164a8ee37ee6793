using Barostep.Configuration;
using Barostep.Control;

namespace Barostep.Daemon.Commands;

/// <summary>Asks, before any port is opened, whether a bench may make pressure at all.</summary>
internal static class PermitCheck
{
    public static DateOnly Today() => DateOnly.FromDateTime(TimeProvider.System.GetUtcNow().UtcDateTime);

    /// <exception cref="RefusedException">It may not; the message says why and where to read more.</exception>
    public static void Demand(BenchDefinition bench, DeviceDefinition? device, SourceMap origins)
    {
        BenchPermit permit = BenchPermit.For(bench, device, origins, Today());
        if (permit.IsGranted)
            return;
        string more = $"see all of it with: barostep limits --bench {bench.Name}{(device is null ? "" : string.Concat(bench.Beside.Select(one => one.Device).Prepend(device).Select(one => $" --device {one.Name}")))}";
        throw new RefusedException($"{string.Join('\n', permit.Refusals(bench))}\n{more}");
    }
}
