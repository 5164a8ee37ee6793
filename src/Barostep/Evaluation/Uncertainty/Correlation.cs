namespace Barostep.Evaluation.Uncertainty;

/// <summary>How two inputs hang together (GUM 5.2.2).</summary>
/// <param name="First">Name of an input.</param>
/// <param name="Second">Name of another.</param>
/// <param name="Coefficient">Correlation coefficient r, −1 to 1.</param>
public sealed record Correlation(string First, string Second, double Coefficient);
