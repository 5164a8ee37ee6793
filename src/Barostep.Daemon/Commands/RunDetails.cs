using System.Globalization;
using Barostep.Configuration;
using Barostep.Daemon.Output;
using Barostep.Records;

namespace Barostep.Daemon.Commands;

/// <summary>What belongs to a run beside its result: job, standards, leak test, surroundings, certificates.</summary>
internal static class RunDetails
{
    public static void Write(TextWriter output, RunRecord run, IReadOnlyList<IssuedCertificate> certificates)
    {
        output.WriteLine();
        if (run.Job is { } job)
            Line(output, "job", $"{job.Job.Name}, {RecordText.Stage(job.Stage)}, order {job.Job.Order} of {job.Job.Customer}");
        foreach (StandardUse use in run.Standards)
            Line(output, use.Role, Standard(use));
        if (run.LeakTest is { } leak)
        {
            Line(output, "leak test", string.Create(CultureInfo.InvariantCulture,
                $"{leak.RatePascalsPerSecond:0.###} Pa/s at {leak.PressurePascals / 100_000:0.###} bar, limit {leak.LimitPascalsPerSecond:0.###} Pa/s: {(leak.Tight ? "tight" : "LEAKS")}"));
        }

        if (run.Environment.Count > 0)
            Line(output, "surroundings", Surroundings(run.Environment));
        foreach (IssuedCertificate certificate in certificates)
        {
            string now = certificate.ReplacedBy is { } later ? $", replaced by {later}" : string.Empty;
            Line(output, "certificate", $"{certificate.Number}, made {RecordText.Moment(certificate.IssuedUtc)} UTC by {certificate.IssuedBy}, {(certificate.SignedOff is { } signed ? $"signed off by {signed.By}" : "draft")}{now}");
        }

        Line(output, "journal", run.JournalHead.Length == 0 ? "no head was written" : $"last entry {run.JournalHead}");
        Line(output, "software", run.SoftwareVersion);
    }

    private static string Standard(StandardUse use)
    {
        ReferenceStandard standard = use.Standard;
        string overdue = use.Allowance is { } allowance ? $"; OVERDUE, allowed by {allowance.By}: {allowance.Reason}" : string.Empty;
        return $"{standard.Manufacturer} {standard.Model} {standard.SerialNumber}, certificate {standard.CertificateNumber} "
            + $"of {RecordText.Day(standard.CalibratedOn)}, due {RecordText.Day(standard.DueOn)}{overdue}";
    }

    private static string Surroundings(IReadOnlyList<EnvironmentReading> readings)
    {
        string[] ranges =
        [
            .. new[]
            {
                Range(readings.Select(reading => reading.TemperatureCelsius), 1, "°C"),
                Range(readings.Select(reading => reading.RelativeHumidity), 100, "% RH"),
                Range(readings.Select(reading => reading.AtmospherePascals), 0.01, "hPa"),
            }.OfType<string>(),
        ];
        return string.Join(", ", ranges);
    }

    private static string? Range(IEnumerable<double?> values, double factor, string unit)
    {
        double[] told = [.. values.OfType<double>()];
        return told.Length == 0 ? null : string.Create(CultureInfo.InvariantCulture, $"{told.Min() * factor:0.#} to {told.Max() * factor:0.#} {unit}");
    }

    private static void Line(TextWriter output, string name, string text) => output.WriteLine($"{name,-12} {text}");
}
