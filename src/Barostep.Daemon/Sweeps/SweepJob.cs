using Barostep.Configuration;
using Barostep.Procedures;

namespace Barostep.Daemon.Sweeps;

/// <summary>One run to be done: everything is loaded and checked, nothing is opened.</summary>
/// <param name="Bench">Where.</param>
/// <param name="Device">What.</param>
/// <param name="Procedure">How.</param>
/// <param name="Origins">Where each limit was written.</param>
/// <param name="RunId">The name under which it is kept.</param>
/// <param name="Simulated">Marks the record, for good, as one of a simulated bench.</param>
public sealed record SweepJob(
    BenchDefinition Bench,
    DeviceDefinition Device,
    Procedure Procedure,
    SourceMap Origins,
    string RunId,
    bool Simulated)
{
    /// <summary>Who began it, as the journal is told.</summary>
    public string Who { get; init; } = Environment.UserName;

    /// <summary>The reference standards that the results rest on, as they were on the day.</summary>
    public IReadOnlyList<StandardUse> Standards { get; init; } = [];

    /// <summary>Who a certificate is from; null where none can be made.</summary>
    public Laboratory? Laboratory { get; init; }
}
