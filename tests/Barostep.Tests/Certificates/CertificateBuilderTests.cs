using System.Security.Cryptography;
using Barostep.Certificates;
using Barostep.Configuration;
using Barostep.Evaluation;
using Barostep.Records;
using Barostep.Safety;
using Barostep.Tests.Records;

namespace Barostep.Tests.Certificates;

public sealed class CertificateBuilderTests
{
    private static readonly CertifiedRun _run = SampleCertificates.Run(SampleRuns.Transmitter, SampleCertificates.Errors(0.0012, -0.0011));

    [Fact]
    public void With_everything_known_and_signed_off_it_is_no_draft()
    {
        Assert.False(SampleCertificates.Issued.IsDraft);
        Assert.Equal(new DateOnly(2026, 3, 30), SampleCertificates.Issued.Issued);
    }

    [Fact]
    public void Without_a_signature_it_stays_a_draft_and_is_not_issued() =>
        StaysDraft(_run, SampleCertificates.Details with { Authorisation = null }, "nobody has authorised it");

    [Fact]
    public void Without_uncertainties_it_stays_a_draft_although_it_is_signed()
    {
        Certificate certificate = StaysDraft(_run with { Uncertainties = null }, SampleCertificates.Details, "no uncertainty is stated");

        Assert.Contains("No uncertainty is stated", certificate.UncertaintyStatement, StringComparison.Ordinal);
    }

    [Fact]
    public void Without_conditions_it_stays_a_draft() => StaysDraft(
        _run,
        SampleCertificates.Details with { Conditions = SampleCertificates.Details.Conditions with { HumidityShare = null } },
        "the conditions of the work are not all recorded");

    [Fact]
    public void Without_standards_it_stays_a_draft() =>
        StaysDraft(_run, SampleCertificates.Details with { Standards = [] }, "no standard is named");

    [Fact]
    public void A_standard_whose_calibration_is_not_stated_makes_a_draft() => StaysDraft(
        _run,
        SampleCertificates.Details with { Standards = [SampleCertificates.Details.Standards[0] with { CertificateNumber = null }] },
        "the calibration of Pressure reference is not stated");

    [Fact]
    public void A_standard_that_was_overdue_when_the_work_ended_makes_a_draft()
    {
        StandardUsed reference = SampleCertificates.Details.Standards[0];

        StaysDraft(
            _run,
            SampleCertificates.Details with { Standards = [reference with { Due = new DateOnly(2026, 3, 28) }] },
            "the calibration of Pressure reference was due on 2026-03-28, before the work ended");
        Assert.False(CertificateBuilder.From(_run, SampleCertificates.Details with { Standards = [reference with { Due = new DateOnly(2026, 3, 29) }] }).IsDraft);
    }

    [Fact]
    public void Figures_are_rounded_to_the_place_of_two_digits_of_U()
    {
        // GUM 7.2.6: U = 0.0098 bar has its second digit in the fourth decimal, U = 0.0134 bar = 0.013 bar in the third.
        ShownFigures fine = FirstPoint(SampleRuns.Transmitter, 980);
        ShownFigures coarse = FirstPoint(SampleRuns.Transmitter, 1340);

        Assert.Equal(("0.0098", "0.0120", "0.0120"), (Text(fine.Uncertainty), Text(fine.Error), Text(fine.Indication)));
        Assert.Equal(("0.013", "0.012", "0.012"), (Text(coarse.Uncertainty), Text(coarse.Error), Text(coarse.Indication)));
    }

    [Fact]
    public void An_uncertainty_of_hundreds_rounds_the_figures_to_tens()
    {
        DeviceDefinition inPascals = SampleRuns.DigitalGauge with
        {
            RangeFrom = new StatedPressure(0, PressureUnit.Pascal, PressureReference.Gauge),
            RangeTo = new StatedPressure(1_000_000, PressureUnit.Pascal, PressureReference.Gauge),
        };

        ShownFigures shown = FirstPoint(inPascals, 984);

        Assert.Equal(("980", "1200"), (Text(shown.Uncertainty), Text(shown.Error)));
    }

    [Fact]
    public void Without_an_uncertainty_figures_have_the_decimals_that_show_the_limit()
    {
        ShownFigures shown = CertificateBuilder.From(_run with { Uncertainties = null }, SampleCertificates.Details).Series[0].Points[0].Shown;

        Assert.Equal(("0.0500", "0.0120"), (Text(shown.Limit), Text(shown.Error)));
        Assert.Null(shown.Uncertainty);
    }

    [Fact]
    public void The_record_hash_is_that_of_run_json()
    {
        using MemoryStream bytes = new();
        RunJson.Write(bytes, _run.Result);

        Assert.Equal(Convert.ToHexStringLower(SHA256.HashData(bytes.ToArray())), SampleCertificates.Issued.Series[0].RecordHash);
    }

    [Fact]
    public void The_conformity_is_that_of_the_item_as_it_leaves()
    {
        Assert.Equal(Conformity.Failed, SampleCertificates.Adjusted.Series[0].Conformity);
        Assert.Equal(Conformity.Passed, SampleCertificates.Adjusted.Conformity);
        Assert.Equal(["Results as found", "Results as left"], SampleCertificates.Adjusted.Series.Select(series => series.Title));
    }

    [Fact]
    public void The_statement_names_results_specification_and_rule()
    {
        string statement = SampleCertificates.Issued.Series[0].ConformityStatement;

        Assert.Contains("all 12 points", statement, StringComparison.Ordinal);
        Assert.Contains("±0.5 % of span (±0.05 bar)", statement, StringComparison.Ordinal);
        Assert.Contains("Simple acceptance", statement, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(-1.25, "−1.25 Pa/s at 10 bar over 60 s, limit ±5.00 Pa/s: tight")]
    [InlineData(-7.5, "−7.50 Pa/s at 10 bar over 60 s, limit ±5.00 Pa/s: not tight")]
    public void A_leak_test_stands_among_the_figures(double pascalsPerSecond, string text)
    {
        RunRecord record = _run.Result.Record with { LeakTest = new LeakTestRecord(1_000_000, 60_000_000, pascalsPerSecond, 5) };

        Certificate certificate = CertificateBuilder.From(new CertifiedRun(RunEvaluation.Evaluate(record)), SampleCertificates.Details);

        Assert.Contains(new SeriesFigure("Leak test", text), certificate.Series[0].Figures);
    }

    [Fact]
    public void One_simulated_run_of_two_makes_the_certificate_simulated()
    {
        CertifiedRun found = new(RunEvaluation.Evaluate(_run.Result.Record with { Simulated = true }));
        CertifiedRun left = new(RunEvaluation.Evaluate(_run.Result.Record with { StartedUtc = _run.Result.Record.StartedUtc.AddHours(1) }));

        Assert.True(CertificateBuilder.From(found, left, SampleCertificates.Details with { AdjustmentNote = "Zero set." }).Simulated);
    }

    [Fact]
    public void Rejects_runs_of_two_devices() => Refused(
        () => CertificateBuilder.From(_run, SampleCertificates.Run(SampleRuns.DigitalGauge, (_, _, _) => 0), SampleCertificates.Details),
        "one device");

    [Fact]
    public void Rejects_runs_in_the_wrong_order() => Refused(
        () => CertificateBuilder.From(_run, _run, SampleCertificates.Details with { AdjustmentNote = "Zero set." }),
        "the other way round");

    [Fact]
    public void Rejects_an_adjustment_that_nobody_described()
    {
        CertifiedRun left = new(RunEvaluation.Evaluate(_run.Result.Record with { StartedUtc = _run.Result.Record.StartedUtc.AddHours(1) }));

        Refused(() => CertificateBuilder.From(_run, left, SampleCertificates.Details), "no note says what was adjusted");
    }

    [Fact]
    public void Rejects_uncertainties_that_do_not_fit_the_points() => Refused(
        () => CertificateBuilder.From(_run with { Uncertainties = [new StatedUncertainty(500, 2, 0.95)] }, SampleCertificates.Details),
        "12 points, but 1 uncertainties");

    [Theory]
    [InlineData(0, 2, 0.95, "an expanded uncertainty is 0 Pa")]
    [InlineData(500, 0.9, 0.95, "a coverage factor is 0.9")]
    [InlineData(500, 2, 95, "a coverage probability is 95")]
    public void Rejects_an_uncertainty_that_means_nothing(double expanded, double factor, double probability, string message) => Refused(
        () => CertificateBuilder.From(_run with { Uncertainties = [.. _run.Uncertainties!.Skip(1), new StatedUncertainty(expanded, factor, probability)] }, SampleCertificates.Details),
        message);

    [Fact]
    public void Rejects_details_without_a_number_or_with_a_country_in_words()
    {
        Party customer = SampleCertificates.Details.Customer;

        Refused(() => CertificateBuilder.From(_run, SampleCertificates.Details with { Number = " " }), "has no number");
        Refused(
            () => CertificateBuilder.From(_run, SampleCertificates.Details with { Customer = customer with { Address = customer.Address with { CountryCode = "Germany" } } }),
            "two capital letters");
    }

    [Fact]
    public void A_reading_beyond_all_digits_is_kept_but_not_shown()
    {
        // What an SCPI-1999 instrument answers for an overload, 9.9E37.
        RunRecord record = _run.Result.Record;
        PointRecord overloaded = record.Points[1] with { Samples = [SampleRuns.Simultaneous(200_000, 9.9e37)] };
        RunResult result = RunEvaluation.Evaluate(record with { Points = [record.Points[0], overloaded] });

        CertificatePoint point = CertificateBuilder.From(new CertifiedRun(result), SampleCertificates.Details).Series[0].Points[1];

        Assert.True(point.ErrorPascals > 1e37);
        Assert.Null(point.Shown.Error);
        Assert.NotNull(point.Shown.Reference);
    }

    private static Certificate StaysDraft(CertifiedRun run, CertificateDetails details, string reason)
    {
        Certificate certificate = CertificateBuilder.From(run, details);
        Assert.Equal([reason], certificate.DraftReasons);
        Assert.True(certificate.IsDraft);
        return certificate;
    }

    private static ShownFigures FirstPoint(DeviceDefinition device, double expandedPascals)
    {
        RunResult result = RunEvaluation.Evaluate(SampleCertificates.Record(device, SampleCertificates.Errors(0.0012, -0.0011)));
        StatedUncertainty[] stated = [.. result.Points.Select(_ => new StatedUncertainty(expandedPascals, 2, 0.95))];
        return CertificateBuilder.From(new CertifiedRun(result, stated), SampleCertificates.Details).Series[0].Points[0].Shown;
    }

    private static string? Text(decimal? value) => value?.ToString(System.Globalization.CultureInfo.InvariantCulture);

    private static void Refused(Func<Certificate> build, string message) =>
        Assert.Contains(message, Assert.Throws<ArgumentException>(() => build()).Message, StringComparison.Ordinal);
}
