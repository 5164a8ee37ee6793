namespace Barostep.Lines;

/// <summary>One serial port of this machine.</summary>
/// <param name="Name">The stable name, or the device where it has none.</param>
/// <param name="Device">Where the name leads.</param>
/// <param name="HeldBy">Who holds it, for people; null where nobody does.</param>
/// <param name="Permission">Whether this program may use it.</param>
public sealed record ListedPort(string Name, string Device, string? HeldBy, PortAccess Permission);

/// <summary>The serial ports of this machine, by their stable names.</summary>
public static class PortList
{
    /// <summary>Where the system keeps a name for each adapter that stays when they are plugged in another order.</summary>
    public const string StableNames = "/dev/serial/by-id";

    private static readonly string[] Adapters = ["ttyUSB*", "ttyACM*"];

    /// <summary>Every port that is there, sorted by name; adapters without a stable name last.</summary>
    /// <param name="stableNames">Folder of stable names.</param>
    /// <param name="devices">Folder of devices.</param>
    public static IReadOnlyList<ListedPort> Of(string stableNames = StableNames, string devices = "/dev")
    {
        List<(string Name, string Device)> found = [];
        if (Directory.Exists(stableNames))
            found.AddRange(Directory.GetFiles(stableNames).Order(StringComparer.Ordinal).Select(name => (name, Target(name))));
        HashSet<string> named = [.. found.Select(port => port.Device)];
        if (Directory.Exists(devices))
        {
            found.AddRange(Adapters.SelectMany(pattern => Directory.GetFiles(devices, pattern))
                .Where(device => !named.Contains(device))
                .Order(StringComparer.Ordinal)
                .Select(device => (device, device)));
        }

        return [.. found.Select(port => new ListedPort(
            port.Name, port.Device, PortLock.HolderOf(port.Name), PortAccess.Of(port.Name) ?? new PortAccess(false, null, "it leads nowhere")))];
    }

    private static string Target(string name) => File.ResolveLinkTarget(name, returnFinalTarget: true)?.FullName ?? name;
}
