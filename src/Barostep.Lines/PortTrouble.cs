namespace Barostep.Lines;

/// <summary>Why a port cannot be opened, in words that say what to do.</summary>
public static class PortTrouble
{
    /// <summary>Explains what the system said when a port was opened.</summary>
    public static string Explain(string port, Exception error)
    {
        ArgumentNullException.ThrowIfNull(port);
        ArgumentNullException.ThrowIfNull(error);
        if (error is PortHeldException)
            return error.Message;
        bool isPath = port.StartsWith('/') || File.Exists(port);
        if (isPath && !File.Exists(port))
            return $"{port} cannot be opened: there is no such port; plug the adapter in, or see 'barostep ports' for those that there are";
        return PortAccess.Of(port) is { IsGranted: false } permission ? $"{port}: {permission.Advice}"
            : error is UnauthorizedAccessException ? $"{port} cannot be opened: {error.InnerException?.Message ?? error.Message}"
            : $"{port}: {error.Message}";
    }
}
