namespace Barostep;

/// <summary>A wish that is refused before anything is opened; its message is for people.</summary>
public sealed class RefusedException(string message) : Exception(message);
