namespace Barostep.Simulators;

/// <summary>A bench file that cannot be used. The message is for people: where, what was found, the rule.</summary>
public sealed class BenchFileException(string message) : Exception(message);
