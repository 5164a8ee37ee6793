using Barostep.Configuration;
using Barostep.Safety;

namespace Barostep.Certificates;

/// <summary>What was calibrated.</summary>
/// <param name="Tag">The customer's own mark; null where there is none.</param>
/// <param name="Range">In words, with unit and whether gauge or absolute.</param>
/// <param name="Output">In words: how it tells its pressure.</param>
/// <param name="Tolerance">In words: the permissible error.</param>
/// <param name="Condition">As it was received; what would bear on the results.</param>
/// <param name="Unit">Symbol of the unit in which the certificate shows its pressures.</param>
/// <param name="SpanPascals">Upper less lower end of the range, Pa.</param>
/// <param name="OutputUnit">Symbol of the unit of an electrical output; null for a digital device.</param>
public sealed record CertificateItem(
    string Description,
    string Manufacturer,
    string Model,
    string SerialNumber,
    string? Tag,
    string Range,
    string Output,
    string Tolerance,
    string Condition,
    string Unit,
    PressureReference Reference,
    double SpanPascals,
    DeviceOutput OutputKind,
    string? OutputUnit);
