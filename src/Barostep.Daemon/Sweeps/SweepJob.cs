using Barostep.Configuration;
using Barostep.Procedures;
using Barostep.Records;

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
    /// <summary>What is done to each device beside this one on the manifold, with the same pressure; empty for a device by itself.</summary>
    public IReadOnlyList<SweepJob> Beside { get; init; } = [];

    /// <summary>The devices as they were named: the leading one alone, or all with their inputs.</summary>
    public string DevicesNamed { get; init; } = Device.Name;

    /// <summary>The same job with something changed in it and in every one beside it.</summary>
    public SweepJob Each(Func<SweepJob, SweepJob> change)
    {
        ArgumentNullException.ThrowIfNull(change);
        return change(this) with { Beside = [.. Beside.Select(change)] };
    }

    /// <summary>The reference standards that the results rest on, as they were on the day.</summary>
    public IReadOnlyList<StandardUse> Standards { get; init; } = [];

    /// <summary>The customer's order and its stage; null where the run is for none.</summary>
    public JobUse? Job { get; init; }

    /// <summary>Who does it; empty where nobody was named.</summary>
    public string PerformedBy { get; init; } = string.Empty;

    /// <summary>The room at the beginning; empty where nothing tells it.</summary>
    public IReadOnlyList<EnvironmentReading> Environment { get; init; } = [];

    /// <summary>Who a certificate is from; null where none can be made.</summary>
    public Laboratory? Laboratory { get; init; }
}
