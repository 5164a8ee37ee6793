using Barostep.Configuration;

namespace Barostep.Tests.Configuration;

public sealed class StandardFileTests
{
    private const string File = "standards/indicator-16bar.toml";

    [Fact]
    public void A_standard_is_read_into_base_units()
    {
        using var files = new ConfigurationFixture();

        ReferenceStandard standard = files.Load().Configuration.Standards["indicator-16bar"];

        Assert.Equal(("K-2026-0318", new DateOnly(2026, 3, 18), new DateOnly(2027, 3, 18)), (standard.CertificateNumber, standard.CalibratedOn, standard.DueOn));
        Assert.Equal((100, 2, 40), (standard.ExpandedUncertainty, standard.CoverageFactor, standard.DriftPerYear));
        Assert.Equal(new CorrectionPoint(800_000, 5), standard.Corrections[2]);
        Assert.Equal(50, standard.CalibrationUncertainty(1_600_000));
        Assert.Equal(1e-6, files.Load().Configuration.Standards["multimeter"].ExpandedUncertainty);
    }

    [Theory]
    [InlineData("due = 2027-03-18", "due = \"2027-03-18\"", "due = \"2027-03-18\"; it is a day, year-month-day, without quotation marks; write for example due = 2026-01-31")]
    [InlineData("due = 2027-03-18", "due = 2027-03-18T10:00:00Z", "it is a day, year-month-day")]
    [InlineData("due = 2027-03-18", "due = 2025-03-18", "due is not after calibrated")]
    [InlineData("expanded_uncertainty = \"1 mbar\"", "expanded_uncertainty = \"1 uA\"", "expanded_uncertainty = \"1 uA\"")]
    [InlineData("expanded_uncertainty = \"1 mbar\"", "expanded_uncertainty = \"0 mbar\"", "no calibration is without uncertainty")]
    [InlineData("\"0.06 mbar\", ", "", "correction.add has 4 values and correction.at 5; every indication has its correction")]
    [InlineData("\"8 bar\"", "\"3 bar\"", "correction.at.2 is not above the indication before it")]
    [InlineData("quantity = \"pressure\"", "quantity = \"presure\"", "did you mean quantity = \"pressure\"")]
    [InlineData("certificate = ", "certifikate = ", "did you mean certificate")]
    public void Rejects_what_no_certificate_says(string from, string to, string says)
    {
        using ConfigurationFixture files = new ConfigurationFixture().Change(File, from, to);

        Assert.Contains(files.Errors(), error => error.Contains(says, StringComparison.Ordinal));
    }

    [Fact]
    public void A_bench_takes_its_uncertainty_from_its_standard()
    {
        using ConfigurationFixture files = WithStandard();

        FittedInstrument reference = files.Load().Configuration.Benches["demo"].Reference;

        Assert.Empty(files.Errors());
        Assert.Equal("indicator-16bar", reference.Standard!.Name);
        Assert.Equal(50, reference.StandardUncertaintyPascals);
    }

    [Theory]
    [InlineData("standard = \"indicator-16bar\"", "standard = \"indicator-16ba\"", "did you mean \"indicator-16bar\"")]
    [InlineData("standard = \"indicator-16bar\"", "standard = \"multimeter\"", "the reference has a standard of pressure")]
    [InlineData("standard = \"indicator-16bar\"", "standard = \"indicator-16bar\"\nstandard_uncertainty = \"0.5 mbar\"", "a figure is written in one place")]
    [InlineData("serial_number = \"SI-02077\"", "serial_number = \"SI-02078\"", "a certificate holds for one instrument")]
    public void Rejects_a_standard_that_is_not_this_instruments(string from, string to, string says)
    {
        using ConfigurationFixture files = WithStandard().Change("benches/demo.toml", from, to);

        Assert.Contains(files.Errors(), error => error.Contains(says, StringComparison.Ordinal));
    }

    [Fact]
    public void A_bench_whose_standard_cannot_be_read_is_not_used()
    {
        using ConfigurationFixture files = WithStandard().Change(File, "coverage_factor = 2", "coverage_factor = \"two\"");

        Assert.DoesNotContain("demo", files.Load().Configuration.Benches.Keys);
    }

    [Theory]
    [InlineData("2027-03-18", 0)]
    [InlineData("2027-03-19", 1)]
    [InlineData("2026-03-17", 1)]
    public void A_standard_may_be_used_from_its_calibration_to_its_due_day(string day, int objections)
    {
        using ConfigurationFixture files = WithStandard();
        WorkshopConfiguration workshop = files.Load().Configuration;

        IReadOnlyList<ConfigurationError> found = StandardsInUse.Check(workshop.Benches["demo"], Day(day), null, workshop.Origins);

        Assert.Equal(objections, found.Count);
        Assert.All(found, error => Assert.Equal(File, error.Where.File));
    }

    [Fact]
    public void A_named_person_can_allow_an_overdue_standard_and_nobody_one_from_the_future()
    {
        using ConfigurationFixture files = WithStandard();
        WorkshopConfiguration workshop = files.Load().Configuration;
        BenchDefinition bench = workshop.Benches["demo"];
        var allowance = new OverdueAllowance("A. Holm", "the spare is at the laboratory");

        Assert.Empty(StandardsInUse.Check(bench, Day("2027-04-01"), allowance, workshop.Origins));
        Assert.Single(StandardsInUse.Check(bench, Day("2026-03-01"), allowance, workshop.Origins));
        Assert.Equal(allowance, Assert.Single(StandardsInUse.Record(bench, Day("2027-04-01"), allowance)).Allowance);
        Assert.Null(Assert.Single(StandardsInUse.Record(bench, Day("2027-03-18"), allowance)).Allowance);
    }

    private static DateOnly Day(string text) => DateOnly.ParseExact(text, "yyyy-MM-dd", System.Globalization.CultureInfo.InvariantCulture);

    private static ConfigurationFixture WithStandard()
    {
        var files = new ConfigurationFixture();
        string bench = files.Read("benches/demo.toml");
        int reference = bench.IndexOf("[reference]", StringComparison.Ordinal);
        int line = bench.IndexOf("standard_uncertainty = ", reference, StringComparison.Ordinal);
        int end = bench.IndexOf('\n', line);
        return files.Write("benches/demo.toml", bench.Remove(line, end - line).Insert(line, "standard = \"indicator-16bar\""));
    }
}
