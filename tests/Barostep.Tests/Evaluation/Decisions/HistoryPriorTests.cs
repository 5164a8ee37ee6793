using Barostep.Configuration;
using Barostep.Evaluation.Decisions;
using Barostep.Evaluation.Drift;
using Barostep.Records;
using Barostep.Tests.Procedures;

namespace Barostep.Tests.Evaluation.Decisions;

public class HistoryPriorTests
{
    private static readonly DecisionAgreement _agreed = new(AgreedRule.RiskOfAllDevices, 1, 0.02, 0.005);

    [Fact]
    public void From_five_runs_on_the_device_s_own_scatter_takes_the_place_of_the_agreed_one()
    {
        // Errors of +0.3 % and -0.4 %: the root of (0.09 + 0.16)/2 is 0.354 %, told to two digits.
        RunErrors[] history = [.. Enumerable.Range(0, 5).Select(_ => Run(JobStage.AsFound, 0.003, -0.004))];

        Assert.Equal(0.0035, HistoryPrior.Of(_agreed, history, simulated: false).PriorDeviationOfSpan, 12);
    }

    [Fact]
    public void A_short_history_leaves_what_was_agreed() =>
        Assert.Equal(_agreed, HistoryPrior.Of(_agreed, [Run(null, 0.001), Run(null, 0.001), Run(null, 0.001), Run(null, 0.001)], simulated: false));

    [Fact]
    public void Runs_as_left_and_runs_of_the_other_kind_do_not_count()
    {
        RunErrors[] history = [.. Enumerable.Range(0, 9).Select(_ => Run(JobStage.AsLeft, 0.0001))];

        Assert.Equal(_agreed, HistoryPrior.Of(_agreed, history, simulated: false));
        Assert.Equal(_agreed, HistoryPrior.Of(_agreed, [.. history.Select(run => run with { Stage = null })], simulated: true));
    }

    [Theory]
    [InlineData(AgreedRule.PlainLimit)]
    [InlineData(AgreedRule.KeepAway)]
    [InlineData(AgreedRule.FourZones)]
    [InlineData(AgreedRule.RiskOfThisDevice)]
    public void A_rule_without_a_prior_is_left_alone(AgreedRule rule)
    {
        DecisionAgreement other = _agreed with { Rule = rule };
        Assert.Equal(other, HistoryPrior.Of(other, [.. Enumerable.Range(0, 9).Select(_ => Run(null, 0.003))], simulated: false));
    }

    private static RunErrors Run(JobStage? stage, params double[] errors) => new(
        "run",
        DateTimeOffset.UnixEpoch,
        Exercises.Transmitter,
        Simulated: false,
        RunOutcome.Completed,
        stage,
        [.. errors.Select((error, i) => new PointError(i + 1, 1, SeriesDirection.Ascending, 1e5 * i, error, null, null, null))]);
}
