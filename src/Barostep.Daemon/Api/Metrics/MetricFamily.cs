using Barostep.Daemon.Live;

namespace Barostep.Daemon.Api.Metrics;

/// <summary>How a metric moves.</summary>
internal enum MetricKind
{
    /// <summary>Goes up and down.</summary>
    Gauge,

    /// <summary>Counts from the daemon's start.</summary>
    Counter,
}

/// <summary>One value with its labels.</summary>
internal sealed record MetricSample(double Value, params (string Name, string Value)[] Labels);

/// <summary>Everything that metrics are read off, looked at once.</summary>
internal sealed record MetricsSight(ApiContext Context, IReadOnlyList<(BenchBoard Board, BenchSight Sight)> Benches)
{
    public static MetricsSight Of(ApiContext context) => new(context, [.. context.Boards.Values.Select(board => (board, board.Look()))]);
}

/// <summary>One metric: the same for a scrape in the Prometheus format and for a collector over OTLP.</summary>
/// <param name="Name">With dots, as OpenTelemetry has it, without unit.</param>
/// <param name="Kind">How it moves.</param>
/// <param name="Unit">UCUM code of a base unit, or a word in braces.</param>
/// <param name="Help">One sentence.</param>
/// <param name="Samples">The values that are known now; none where nothing is.</param>
internal sealed record MetricFamily(
    string Name, MetricKind Kind, string Unit, string Help, Func<MetricsSight, IEnumerable<MetricSample>> Samples)
{
    /// <summary>By the naming rules of Prometheus: the base unit in full as suffix, and <c>_total</c> on what counts.</summary>
    public string PrometheusName => Name.Replace('.', '_') + UnitSuffix + (Kind == MetricKind.Counter ? "_total" : string.Empty);

    private string UnitSuffix => Unit switch
    {
        "Pa" => "_pascals",
        "A" => "_amperes",
        "s" => "_seconds",
        "By" => "_bytes",
        _ => string.Empty,
    };
}
