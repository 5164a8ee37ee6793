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
        bool plain = folder is not null && !fitted.Port.Contains('/', StringComparison.Ordinal);
        string text = plain ? Path.Combine(folder!, fitted.Port) : fitted.Port;
        return LineAddress.TryParse(text, out LineAddress address, out string error) ? address : throw new RefusedException(error);
    }
}
