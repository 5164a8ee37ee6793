namespace Barostep.Daemon;

/// <summary>A wish that is refused before anything is opened; its message is for people.</summary>
internal sealed class RefusedException(string message) : Exception(message);
