using Barostep.Certificates;
using Barostep.Configuration;
using Barostep.Evaluation;
using Barostep.Procedures;
using Barostep.Records;
using Barostep.Tests.Records;

namespace Barostep.Tests.Certificates;

/// <summary>Certificates of the district-heating workshop for tests: signed off, draft, adjusted, amended, of other units.</summary>
internal static class SampleCertificates
{
    public static readonly CertificateDetails Details = new()
    {
        Number = "W-2026-0417",
        Laboratory = new Party("Fernwärme Auental, measurement workshop", new PostalAddress("Kesselgasse 4", "04999", "Auental", "DE"))
        {
            Email = "workshop@auental.example",
            Telephone = "+49 34999 5510",
        },
        PlaceOfWork = new PlaceOfWork(PlaceKind.Laboratory, "room 3 of the laboratory, bench 1"),
        Customer = new Party("Fernwärme Auental, networks", new PostalAddress("Am Speicher 12", "04999", "Auental", "DE")),
        OrderNumber = "N-88/26",
        Condition = "Clean, thread undamaged; plug replaced before the work.",
        Received = new DateOnly(2026, 3, 24),
        Conditions = new AmbientConditions(
            new AmbientRange(294.25, 295.05, 294.65),
            new AmbientRange(0.41, 0.46, 0.43),
            new AmbientRange(100_880, 100_960, 100_920)),
        Standards =
        [
            new StandardUsed("Pressure reference", "digital reference 16 bar, serial 204", "R-2025-118", new DateOnly(2025, 11, 3), new DateOnly(2026, 11, 3), "the national standard, through the calibration house Mulde"),
            new StandardUsed("Multimeter", "bench multimeter, serial 5521", "E-2025-079", new DateOnly(2025, 9, 18), new DateOnly(2026, 9, 18), "the national standard, through the calibration house Mulde"),
        ],
        MethodRevision = "C",
        UncertaintyMethod = "The budget takes in the reference and its drift, the multimeter, resolution, repeatability and hysteresis.",
        Authorisation = new Authorisation("J. Sommer", "head of the measurement workshop", new DateOnly(2026, 3, 30)),
        SoftwareVersion = "0.1.0",
    };

    /// <summary>Signed off, a real bench, all points within the limit.</summary>
    public static Certificate Issued { get; } = CertificateBuilder.From(Run(SampleRuns.Transmitter, Errors(0.0012, -0.0011)), Details);

    /// <summary>Made by the demo: nobody signed, no uncertainty, no conditions, simulated.</summary>
    public static Certificate Draft { get; } = CertificateBuilder.From(
        new CertifiedRun(RunEvaluation.Evaluate(Record(SampleRuns.Transmitter, Errors(0.0012, -0.0011)) with { Simulated = true })),
        Details with { Authorisation = null, Conditions = AmbientConditions.NotRecorded, Standards = [] });

    /// <summary>Failed as found, adjusted, passed as left, and amended afterwards.</summary>
    public static Certificate Adjusted { get; } = CertificateBuilder.From(
        Run(SampleRuns.Transmitter, Errors(0.0012, 0.0063)),
        Later(Run(SampleRuns.Transmitter, Errors(0.0003, 0.0004))),
        Details with
        {
            AdjustmentNote = "Zero and span adjusted on the device by R. Falk on 2026-03-29 to the middle of the limit.",
            Amendment = new Barostep.Certificates.Amendment(AmendmentKind.Substituted, "W-2026-0415", "The serial number was misread."),
            Deviations = ["The run as left was made without preloads."],
            SuppliedByCustomer = ["The tag and the permissible error."],
        });

    public static IReadOnlyDictionary<string, Certificate> All { get; } = new Dictionary<string, Certificate>
    {
        ["issued"] = Issued,
        ["draft"] = Draft,
        ["adjusted"] = Adjusted,
        ["gauge"] = CertificateBuilder.From(Run(SampleRuns.DigitalGauge, Errors(-0.002, 0.001)), Details),
        ["torn"] = CertificateBuilder.From(Torn(), Details),
        ["corrected"] = Corrected(),
    };

    /// <summary>With its own budgets, corrections, a guard band, a standard that was overdue and allowed, and who did it.</summary>
    private static Certificate Corrected()
    {
        RunRecord record = Record(
            SampleRuns.Transmitter with { Decision = new DecisionAgreement(AgreedRule.FourZones, 1, DecisionAgreement.UsualRisk, 0) }, Errors(0.0012, 0.00365));
        RunResult result = RunEvaluation.Evaluate(record with
        {
            PerformedBy = "R. Falk",
            Standards = [new StandardUse("reference", SampleRuns.Reference with { DueOn = new DateOnly(2026, 3, 1) }, new OverdueAllowance("J. Sommer", "the spare is away"))],
            Environment = [new EnvironmentReading(0, 21.5, 0.43, 100_900, "read by R. Falk")],
            Arrangement = new MeasuringArrangement { Head = new HeadColumn("nitrogen", 0.35, 0.005, 9.81, 0.001, "stated") },
        });
        var laboratory = new Laboratory("Fernwärme Auental, measurement workshop", "Kesselgasse 4", "04999", "Auental", "DE", "extension 5510", "W-");
        return RunCertificate.Of([result], RunCertificate.Details("W-2026-0421", [result], laboratory, []));
    }

    public static Func<int, SeriesDirection, double, double> Errors(double zero, double span) =>
        (_, direction, share) => zero + (span * share) + (direction == SeriesDirection.Descending ? 0.0016 * share * (1 - share) : 0);

    public static CertifiedRun Run(DeviceDefinition device, Func<int, SeriesDirection, double, double> errors)
    {
        RunResult result = RunEvaluation.Evaluate(Record(device, errors));
        return new CertifiedRun(result, Uncertainties(result));
    }

    public static IReadOnlyList<StatedUncertainty> Uncertainties(RunResult result) =>
    [
        .. result.Points.Select(point => new StatedUncertainty(
            (0.0006 * result.Record.Device.SpanPascals) + (0.0003 * Math.Abs(point.NominalPascals)), 2, 0.95)),
    ];

    public static RunRecord Record(DeviceDefinition device, Func<int, SeriesDirection, double, double> errors) =>
        SampleRuns.Run(device, SampleRuns.UpAndDown, errors) with
        {
            Simulated = false,
            JournalHead = "9f2c41d07be35a86c0d1e4f7a2b85c6398d4e0f1a7b2c5d8e3f6091a4b7c2d5e",
        };

    private static CertifiedRun Later(CertifiedRun run)
    {
        RunRecord record = run.Result.Record;
        RunResult result = RunEvaluation.Evaluate(record with
        {
            Id = "0198c0de-0000-7000-8000-000000000002",
            StartedUtc = record.StartedUtc.AddHours(1),
            EndedUtc = record.EndedUtc.AddHours(1),
        });
        return run with { Result = result };
    }

    /// <summary>Stopped half-way, with a point of which no reading counts and one that did not settle.</summary>
    private static CertifiedRun Torn()
    {
        RunRecord whole = Record(SampleRuns.Transmitter, Errors(0.0012, -0.0011));
        PointRecord[] points = [.. whole.Points.Take(5)];
        points[2] = points[2] with { Marks = PointMarks.VoidSamples, Samples = [.. points[2].Samples.Select(sample => sample with { Void = true })] };
        points[3] = points[3] with { Marks = PointMarks.Unsettled };
        RunResult result = RunEvaluation.Evaluate(whole with
        {
            Points = points,
            Outcome = RunOutcome.Stopped,
            OutcomeReason = "stop key pressed",
        });
        return new CertifiedRun(result, Uncertainties(result));
    }
}
