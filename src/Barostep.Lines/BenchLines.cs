using Barostep.Configuration;
using Barostep.Instruments;

namespace Barostep.Lines;

/// <summary>Where the lines of a bench lead.</summary>
public static class BenchLines
{
    /// <summary>One address for each line, in its order.</summary>
    /// <param name="lines">The instruments' drivers.</param>
    /// <param name="folder">Folder in which plain port names are links; null where they are paths.</param>
    /// <exception cref="RefusedException">A port is not an address.</exception>
    public static IReadOnlyList<LineAddress> AddressesOf(IEnumerable<InstrumentDriver> lines, string? folder)
    {
        ArgumentNullException.ThrowIfNull(lines);
        return [.. lines.Select(line => AddressOf(line.Fitted, folder))];
    }

    /// <summary>Where the line of one instrument leads.</summary>
    public static LineAddress AddressOf(FittedInstrument fitted, string? folder)
    {
        ArgumentNullException.ThrowIfNull(fitted);
        bool plain = !fitted.Port.Contains('/', StringComparison.Ordinal);
        if (folder is not null && !plain)
            throw new RefusedException($"port {fitted.Port} leads to an instrument, and the bench is a simulated one; with --ports a port is the name of a link in that folder");
        string text = folder is not null ? Path.Combine(folder, fitted.Port) : fitted.Port;
        return LineAddress.TryParse(text, out LineAddress address, out string error)
            ? address with { World = folder is null ? LineWorld.Real : LineWorld.Simulated }
            : throw new RefusedException(error);
    }
}
