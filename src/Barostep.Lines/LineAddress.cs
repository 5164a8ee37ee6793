using System.Globalization;
using Barostep.Configuration;

namespace Barostep.Lines;

/// <summary>What a line may lead to.</summary>
public enum LineWorld
{
    /// <summary>Whatever answers.</summary>
    Any,

    /// <summary>An instrument: no pseudo-terminal is one.</summary>
    Real,

    /// <summary>A simulated instrument behind a pseudo-terminal: no real port is ever opened.</summary>
    Simulated,
}

/// <summary>Where a line leads, and how it is opened: a device path, or <c>tcp://host:port</c>.</summary>
public sealed record LineAddress
{
    private const string TcpScheme = "tcp://";

    private LineAddress(string path, string host, int port)
    {
        Path = path;
        Host = host;
        Port = port;
    }

    /// <summary>Device path; empty for TCP.</summary>
    public string Path { get; }

    public string Host { get; }

    public int Port { get; }

    /// <summary>What it may lead to; looked at each time it is opened.</summary>
    public LineWorld World { get; init; }

    /// <summary>Reads an address; on failure the error says what to write.</summary>
    public static bool TryParse(string text, out LineAddress address, out string error)
    {
        ArgumentNullException.ThrowIfNull(text);
        error = string.Empty;
        address = new LineAddress(text, string.Empty, 0);
        if (!text.StartsWith(TcpScheme, StringComparison.Ordinal))
            return true;
        string rest = text[TcpScheme.Length..].TrimEnd('/');
        int colon = rest.LastIndexOf(':');
        bool numbered = int.TryParse(rest.AsSpan(colon + 1), NumberStyles.None, CultureInfo.InvariantCulture, out int port);
        if (colon < 1 || !numbered || port is < 1 or > 65535)
        {
            error = $"'{text}' is no line address; write tcp://host:port with a port from 1 to 65535, or a device path";
            return false;
        }

        address = new LineAddress(string.Empty, rest[..colon].Trim('[', ']'), port);
        return true;
    }

    /// <exception cref="IOException">It leads into the other world: what is simulated never passes for real, nor the other way about.</exception>
    private void DemandWorld()
    {
        // What is not there tells its own reason when it is opened.
        if (World == LineWorld.Any || (Path.Length > 0 && !File.Exists(Path)))
            return;
        bool isTerminal = Path.Length > 0 && RealPath().StartsWith("/dev/pts/", StringComparison.Ordinal);
        if (World == LineWorld.Simulated && !isTerminal)
            throw new IOException($"{Path} is no simulated instrument (no pseudo-terminal); a run with --ports opens nothing else");
        if (World == LineWorld.Real && isTerminal)
            throw new IOException($"{Path} is a simulated instrument (a pseudo-terminal); name its folder with --ports");
    }

    private string RealPath() =>
        File.ResolveLinkTarget(Path, returnFinalTarget: true)?.FullName ?? System.IO.Path.GetFullPath(Path);

    /// <summary>Takes the port's lock and opens the line with the settings of the instrument that is fitted to it.</summary>
    public async Task<StreamLine> OpenAsync(FittedInstrument fitted, Action onChange, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(fitted);
        DemandWorld();
        PortLock held = PortLock.Take(Path.Length == 0 ? $"{TcpScheme}{Host}:{Port}" : Path);
        try
        {
            StreamLine line = Path.Length == 0
                ? await TcpLine.OpenAsync(Host, Port, onChange, cancel).ConfigureAwait(false)
                : SerialLine.Open(Path, fitted.Definition.Line, fitted.Baud ?? fitted.Definition.Line.Baud, onChange);
            line.Lock = held;
            return line;
        }
        catch
        {
            held.Dispose();
            throw;
        }
    }
}
