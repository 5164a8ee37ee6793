using System.Globalization;
using Barostep.Configuration;
using Barostep.Daemon.Output;
using Barostep.Evaluation;
using Barostep.Evaluation.Drift;
using Barostep.Records;

namespace Barostep.Daemon.Commands;

/// <summary>One device over the years: runs, due dates, drift at each place, and a proposed interval.</summary>
internal sealed class DeviceHistoryReport
{
    private readonly DeviceIdentity _identity;
    private readonly DeviceDefinition _device;
    private readonly IReadOnlyList<RunSummary> _runs;
    private readonly IReadOnlyList<DeviceDue> _dueDates;
    private readonly IReadOnlyList<DriftForecast> _forecasts;
    private readonly IntervalProposal _proposal;
    private readonly bool _standardsKnown;
    private readonly int _mostMonths;

    private DeviceHistoryReport(RunStore store, DeviceIdentity identity, int mostMonths)
    {
        _identity = identity;
        _mostMonths = mostMonths;
        IReadOnlyList<RunErrors> records = store.ErrorsOf(identity);
        _device = records.Count > 0 ? records[^1].Device : store.RecordsOf(identity)[^1].Device;
        _runs = store.DeviceHistory(identity.Manufacturer, identity.Model, identity.SerialNumber);
        _dueDates = store.Devices.DueDates(identity);
        _standardsKnown = records.All(run => run.Points.All(point => point.ExpandedUncertaintyOfSpan is not null));
        _forecasts = [.. (records.Count == 0 ? [] : ErrorSeries.Of(records)).Select(series => DriftForecast.Of(series, _device.ToleranceOfSpan)).OfType<DriftForecast>()];
        _proposal = IntervalProposal.Of(_forecasts, mostMonths);
    }

    /// <summary>How many runs there are.</summary>
    public int Runs => _runs.Count;

    public static DeviceHistoryReport Of(RunStore store, DeviceIdentity device, int mostMonths) => new(store, device, mostMonths);

    public void Write(CommandIo io)
    {
        io.Out.WriteLine($"{_device.Title}, {_identity}{(_device.Tag.Length == 0 ? string.Empty : $", tag {_device.Tag}")}");
        io.Out.WriteLine();
        RunListing.Write(io, _runs, $"{_runs.Count} runs");
        io.Out.WriteLine();
        foreach (DeviceDue due in _dueDates)
            io.Out.WriteLine($"due {RecordText.Day(due.On)}, set {RecordText.Moment(due.SetUtc)} UTC by {due.SetBy}: {due.Reason}");
        if (_dueDates.Count > 0)
            io.Out.WriteLine();
        if (_forecasts.Count > 0)
            WriteDrift(io.Out);
        io.Out.WriteLine($"proposed interval: {Interval()}");
        io.Out.WriteLine($"  {_proposal.Reason}");
        if (_forecasts.Count > 0)
            WriteAssumptions(io.Out);
    }

    public object ForJson() => new
    {
        device = new { name = _device.Name, tag = _device.Tag, manufacturer = _identity.Manufacturer, model = _identity.Model, serialNumber = _identity.SerialNumber },
        toleranceOfSpan = _device.ToleranceOfSpan,
        runs = _runs.Select(RunListing.Of),
        dueDates = _dueDates.Select(due => new { on = due.On, setUtc = due.SetUtc, setBy = due.SetBy, reason = due.Reason }),
        drift = _forecasts.Select(Drift),
        proposal = new { method = IntervalProposal.Method, months = _proposal.Months, nextOn = _proposal.NextOn, _mostMonths, reason = _proposal.Reason },
    };

    private static object Drift(DriftForecast forecast) => new
    {
        nominalOfSpan = forecast.Series.NominalOfSpan,
        direction = RunListing.Camel(forecast.Series.Direction),
        errors = forecast.Series.Errors.Select(error => new
        {
            on = error.On,
            runId = error.RunId,
            errorOfSpan = error.ErrorOfSpan,
            expandedUncertaintyOfSpan = error.ExpandedUncertaintyOfSpan,
        }),
        perYearOfSpan = forecast.PerYear,
        perYearExpandedUncertaintyOfSpan = forecast.PerYearExpandedUncertainty,
        birgeRatio = forecast.Line.BirgeRatio,
        chart = new
        {
            centre = forecast.Chart.Centre,
            lower = forecast.Chart.Lower,
            upper = forecast.Chart.Upper,
            meanRange = forecast.Chart.MeanRange,
            upperRange = forecast.Chart.UpperRange,
            outside = forecast.Chart.Outside,
            rangesOutside = forecast.Chart.RangesOutside,
        },
        reachedOn = forecast.ReachedOn,
        reachedExpandedUncertaintyYears = forecast.ReachedExpandedUncertaintyYears,
        earliestOn = forecast.EarliestOn,
    };

    private void WriteDrift(TextWriter output)
    {
        var table = new ColumnTable(
            "% of span>", "", "n>", "last error>", "U>", "drift per year>", "U>", "control limits>", "in control", "reaches tolerance>", "± years>", "earliest>");
        int decimals = ResultFormat.DecimalsFor(_device.ToleranceOfSpan * 100);
        foreach (DriftForecast forecast in _forecasts)
        {
            table.Add(
                RecordText.Number(forecast.Series.NominalOfSpan * 100),
                forecast.Series.Direction == SeriesDirection.Ascending ? "up" : "down",
                $"{forecast.Series.Errors.Count}",
                RecordText.Percent(forecast.Last.ErrorOfSpan, decimals),
                ResultFormat.Plain(forecast.Last.ExpandedUncertaintyOfSpan * 100, decimals),
                RecordText.Percent(forecast.PerYear, decimals),
                ResultFormat.Plain(forecast.PerYearExpandedUncertainty * 100, decimals),
                $"{RecordText.Percent(forecast.Chart.Lower, decimals)} to {RecordText.Percent(forecast.Chart.Upper, decimals)}",
                forecast.Chart.InControl ? "yes" : "NO",
                RecordText.Day(forecast.ReachedOn),
                ResultFormat.Plain(forecast.ReachedExpandedUncertaintyYears, 1),
                RecordText.Day(forecast.EarliestOn));
        }

        output.WriteLine("drift since the last adjustment; errors, U and limits in % of span, all U with k = 2");
        table.Write(output);
        output.WriteLine();
    }

    private string Interval() => _proposal.Months is { } months
        ? string.Create(CultureInfo.InvariantCulture, $"{months} months, until {RecordText.Day(_proposal.NextOn)}; at most {_mostMonths} allowed")
        : "none";

    private void WriteAssumptions(TextWriter output)
    {
        output.WriteLine($"  method: {IntervalProposal.Method}; advice, to be weighed with how the device is used");
        output.WriteLine("  assumed: straight drift in calendar time, independent calibrations, the next U as the last, use and storage unchanged");
        if (!_standardsKnown)
            output.WriteLine("  not every run names its reference standard: there U holds the scatter of the readings alone and is too small");
        if (_runs.Count < ControlChart.SettledFrom)
            output.WriteLine($"  control limits from fewer than {ControlChart.SettledFrom} calibrations are rough");
    }
}
