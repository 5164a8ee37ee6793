using Barostep.Configuration;

namespace Barostep.Daemon.Lines;

/// <summary>Where the lines of a bench lead.</summary>
internal static class BenchLines
{
    /// <summary>One address for each line of a bench, in its order.</summary>
    /// <param name="bench">The bench.</param>
    /// <param name="folder">Folder in which plain port names are links; null where they are paths.</param>
    /// <exception cref="RefusedException">A port is not an address.</exception>
    public static IReadOnlyList<LineAddress> AddressesOf(BenchDefinition bench, string? folder)
    {
        var addresses = new List<LineAddress>();
        foreach (FittedInstrument fitted in new[] { bench.Source, bench.Reference, bench.Multimeter, bench.DeviceLine }.OfType<FittedInstrument>())
        {
            bool plain = folder is not null && !fitted.Port.Contains('/', StringComparison.Ordinal);
            string text = plain ? Path.Combine(folder!, fitted.Port) : fitted.Port;
            addresses.Add(LineAddress.TryParse(text, out LineAddress address, out string error) ? address : throw new RefusedException(error));
        }

        return addresses;
    }
}
