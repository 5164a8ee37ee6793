using Barostep.Configuration;

namespace Barostep.Tests.Configuration;

public sealed class JobFileTests
{
    private const string File = "jobs/substation-4.toml";

    [Fact]
    public void A_job_says_what_was_agreed()
    {
        using var files = new ConfigurationFixture();

        JobDefinition job = files.Load().Configuration.Jobs["substation-4"];

        Assert.Equal(("transmitter-16bar", AgreedRule.PlainLimit, true, false), (job.Device, job.Decision.Rule, job.AdjustmentAllowed, job.DueDateAgreed));
        Assert.Equal(new DateOnly(2026, 11, 20), job.ReceivedOn);
    }

    [Theory]
    [InlineData("device = \"transmitter-16bar\"", "device = \"transmiter-16bar\"", "did you mean \"transmitter-16bar\"")]
    [InlineData("decision_rule = \"plain-limit\"", "decision_rule = \"plain\"", "it is one of \"plain-limit\", \"keep-away\", \"four-zones\"")]
    [InlineData("decision_rule = \"plain-limit\"", "decision_rule = \"plain-limit\"\nguard_band_of_uncertainty = 1", "that rule has no guard band")]
    [InlineData("customer = ", "costumer = ", "did you mean customer")]
    [InlineData("adjustment_allowed = true", "", "adjustment_allowed is missing")]
    public void Rejects_what_was_not_agreed(string from, string to, string says)
    {
        using ConfigurationFixture files = new ConfigurationFixture().Change(File, from, to);

        Assert.Contains(files.Errors(), error => error.Contains(says, StringComparison.Ordinal));
    }

    [Fact]
    public void Rejects_a_certificate_prefix_that_could_be_no_file_name()
    {
        using ConfigurationFixture files = new ConfigurationFixture().Change("barostep.toml", "\"DH-P-\"", "\"DH/P\"");

        Assert.Contains("it becomes part of file names", files.OnlyError(), StringComparison.Ordinal);
    }
}
