using Barostep.Configuration;
using Barostep.Evaluation;
using Barostep.Records;

namespace Barostep.Certificates;

/// <summary>The certificate of recorded runs: what the runs, their job and the laboratory say, put together.</summary>
public static class RunCertificate
{
    /// <summary>Length of the part of a run's name that makes a draft's number.</summary>
    private const int NumberLength = 8;

    private const double ZeroCelsius = 273.15;

    private const string UncertaintyMethod =
        "GUM budget for each point: calibration, drift and resolution of the standards, gas column, atmosphere and shunt where they take part, "
        + "resolution, zero deviation, repeatability and hysteresis of the item, scatter while reading; coverage factor from Student's t.";

    /// <summary>A draft: nobody has signed it, and its number is the last run's, not one of the register.</summary>
    /// <param name="runs">One, or as found and as left; they have points.</param>
    /// <param name="laboratory">Who did it; also the customer, as long as no job names another.</param>
    /// <param name="adjustments">Of their job, oldest first.</param>
    public static Certificate Draft(IReadOnlyList<RunResult> runs, Laboratory laboratory, IReadOnlyList<Adjustment> adjustments) =>
        Of(runs, Details(DraftNumber(runs[^1], laboratory), runs, laboratory, adjustments));

    /// <summary>From one run, or one as found and one as left.</summary>
    /// <exception cref="ArgumentException">As <see cref="CertificateBuilder"/> has it.</exception>
    public static Certificate Of(IReadOnlyList<RunResult> runs, CertificateDetails details) => runs.Count == 2
        ? CertificateBuilder.From(CertifiedRun.Of(runs[0]), CertifiedRun.Of(runs[1]), details)
        : CertificateBuilder.From(CertifiedRun.Of(runs[0]), details);

    /// <summary>Everything that the certificate says beside the results; nobody has signed yet.</summary>
    /// <param name="number">Its number.</param>
    /// <param name="runs">One, or as found and as left.</param>
    /// <param name="laboratory">Who did it.</param>
    /// <param name="adjustments">Of their job, oldest first.</param>
    /// <param name="corrected">What the job's file says now, where that is to stand on the certificate; null: as agreed at the run.</param>
    public static CertificateDetails Details(
        string number, IReadOnlyList<RunResult> runs, Laboratory laboratory, IReadOnlyList<Adjustment> adjustments, JobDefinition? corrected = null)
    {
        RunRecord last = runs[^1].Record;
        JobDefinition? job = corrected ?? last.Job?.Job;
        Party own = OwnParty(laboratory);
        return new CertificateDetails
        {
            Number = number,
            Laboratory = own,
            PlaceOfWork = new PlaceOfWork(PlaceKind.Laboratory, $"bench {last.Bench}"),
            Customer = job is null ? own : CustomerOf(job, laboratory),
            OrderNumber = job?.Order,
            Condition = job is null ? "No remarks were recorded on receipt." : ConditionOf(job),
            Received = job?.ReceivedOn,
            Conditions = ConditionsOf(runs),
            Standards = [.. runs.SelectMany(run => run.Record.Standards).Select(Used).Distinct()],
            MethodRevision = job?.Method,
            AdjustmentNote = last.Job is { Stage: JobStage.AsLeft } ? NoteOf(adjustments) : null,
            UncertaintyMethod = UncertaintyMethod,
            DecisionRule = DecisionRule.Of(runs[^1].Agreement),
            SoftwareVersion = last.SoftwareVersion,
        };
    }

    private static string DraftNumber(RunResult result, Laboratory laboratory) =>
        $"{laboratory.CertificatePrefix}DRAFT-{result.Record.Id[..NumberLength]}";

    private static Party OwnParty(Laboratory laboratory)
    {
        var party = new Party(laboratory.Name, new PostalAddress(laboratory.Street, laboratory.PostCode, laboratory.City, laboratory.CountryCode));
        return laboratory.Contact.Length == 0 ? party : party with { Telephone = laboratory.Contact };
    }

    private static Party CustomerOf(JobDefinition job, Laboratory laboratory)
    {
        string street = string.Join(", ", job.CustomerAddress.Split('\n', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries));
        string country = job.CustomerCountry.Length == 0 ? laboratory.CountryCode : job.CustomerCountry;
        return new Party(job.Customer, new PostalAddress(street, job.CustomerPostCode, job.CustomerCity, country));
    }

    private static string ConditionOf(JobDefinition job)
    {
        string accessories = job.Accessories is "" or "none" ? string.Empty : $" With it came: {job.Accessories}.";
        return $"On receipt by {job.ReceivedBy}: {job.Condition}.{accessories}";
    }

    private static string NoteOf(IReadOnlyList<Adjustment> adjustments) => adjustments.Count == 0
        ? "Adjusted before the series as left; no note was made of how."
        : string.Join(" ", adjustments.Select(one => $"Adjusted on {Wording.Date(DateOnly.FromDateTime(one.AdjustedUtc.UtcDateTime))} by {one.AdjustedBy}: {one.Note}."));

    private static AmbientConditions ConditionsOf(IReadOnlyList<RunResult> runs)
    {
        EnvironmentReading[] readings = [.. runs.SelectMany(run => run.Record.Environment)];
        string[] told = [.. readings.Select(reading => reading.Instrument).Distinct()];
        return new AmbientConditions(
            Range(readings.Select(reading => reading.TemperatureCelsius + ZeroCelsius)),
            Range(readings.Select(reading => reading.RelativeHumidity)),
            Range(readings.Select(reading => reading.AtmospherePascals)))
        {
            ToldBy = told.Length == 0 ? null : string.Join("; ", told),
        };
    }

    private static AmbientRange? Range(IEnumerable<double?> values)
    {
        double[] known = [.. values.OfType<double>()];
        return known.Length == 0 ? null : new AmbientRange(known.Min(), known.Max(), Statistics.Mean(known));
    }

    private static StandardUsed Used(StandardUse use) => new(
        use.Role,
        $"{use.Standard.Title}, {use.Standard.Manufacturer} {use.Standard.Model}, serial number {use.Standard.SerialNumber}",
        use.Standard.CertificateNumber,
        use.Standard.CalibratedOn,
        use.Standard.DueOn,
        use.Standard.CalibratedBy)
    {
        OverdueAllowed = use.Allowance is { } allowance ? $"used overdue, allowed by {allowance.By}: {allowance.Reason}" : null,
    };
}
