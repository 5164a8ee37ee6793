using System.Diagnostics.Metrics;
using Barostep.Daemon.Api;
using Barostep.Daemon.Api.Metrics;

namespace Barostep.Daemon.Hosting;

/// <summary>Lets a collector have the metrics of daemon and benches that a scrape has, under the same names.</summary>
/// <remarks>Runs, points, safety vents and settling times are told by each run itself: <see cref="TelemetryWatcher"/>.</remarks>
internal sealed class CollectorMetrics : IDisposable
{
    private const string ToldByRuns = "barostep.safety.vents";

    private readonly Meter _meter = new(Telemetry.Name, ProgramVersion.Text);

    public CollectorMetrics(ApiContext context)
    {
        foreach (MetricFamily family in DaemonMetrics.Families.Concat(BenchMetrics.Families).Where(one => one.Name != ToldByRuns))
        {
            if (family.Kind == MetricKind.Counter)
                _meter.CreateObservableCounter(family.Name, Observe, family.Unit, family.Help);
            else
                _meter.CreateObservableGauge(family.Name, Observe, family.Unit, family.Help);

            IEnumerable<Measurement<double>> Observe() => family.Samples(MetricsSight.Of(context))
                .Select(sample => new Measurement<double>(sample.Value, sample.Labels.Select(label => KeyValuePair.Create(label.Name, (object?)label.Value))));
        }
    }

    public void Dispose() => _meter.Dispose();
}
