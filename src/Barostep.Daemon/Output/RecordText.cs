using System.Globalization;
using Barostep.Evaluation;
using Barostep.Records;

namespace Barostep.Daemon.Output;

/// <summary>Words and figures of records, as lists show them.</summary>
internal static class RecordText
{
    /// <summary>Enough of a run's id to tell it from others: in a real run, its millisecond.</summary>
    private const int ShortId = 13;

    public static string Id(string runId) => runId.Length > ShortId ? runId[..ShortId] : runId;

    public static string Moment(DateTimeOffset moment) => moment.UtcDateTime.ToString("yyyy-MM-dd HH:mm", CultureInfo.InvariantCulture);

    public static string Day(DateOnly? day) => day?.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture) ?? ResultFormat.Unknown;

    public static string Percent(double? share, int decimals = 3) => ResultFormat.Signed(share * 100, decimals);

    public static string Number(double value) => value.ToString("0.####", CultureInfo.InvariantCulture);

    public static string Verdict(RunOutcome outcome, Conformity conformity) => outcome switch
    {
        RunOutcome.Completed => Verdict(conformity),
        RunOutcome.Incomplete => "incomplete",
        RunOutcome.Stopped => "stopped",
        RunOutcome.Aborted => "aborted",
        RunOutcome.Tripped => "TRIPPED",
        RunOutcome.InstrumentFailure => "instrument failure",
        RunOutcome.Refused => "refused",
        _ => throw new ArgumentOutOfRangeException(nameof(outcome), outcome, "unknown outcome"),
    };

    public static string Verdict(Conformity conformity) => conformity switch
    {
        Conformity.Passed => "passed",
        Conformity.Failed => "FAILED",
        Conformity.NotDecided => "not decided",
        _ => throw new ArgumentOutOfRangeException(nameof(conformity), conformity, "unknown conformity"),
    };

    public static string Stage(JobStage? stage) => stage switch
    {
        JobStage.AsFound => "as found",
        JobStage.AsLeft => "as left",
        null => string.Empty,
        _ => throw new ArgumentOutOfRangeException(nameof(stage), stage, "unknown stage"),
    };
}
