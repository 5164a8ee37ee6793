using Barostep.Daemon.Benchmarks.Fuzz;
using Barostep.Tests.Configuration;

namespace Barostep.Tests.Benchmarks;

/// <summary>A share of what <c>benchmark definitions</c> and <c>benchmark replies</c> try.</summary>
public class FuzzTests
{
    [Fact]
    public void A_spoilt_definition_loads_or_gets_a_message_with_its_place()
    {
        string[] texts = [.. Directory.GetFiles(Path.Combine(ShippedConfiguration.Folder, "instruments"), "*.toml").Order(StringComparer.Ordinal).Select(File.ReadAllText)];
        DefinitionFuzz.Outcome outcome = DefinitionFuzz.Run(texts, seed: 7, count: 1_000);

        Assert.Empty(outcome.Wrong);
        Assert.True(outcome.Refused > 300 && outcome.Loaded > 20, $"{outcome.Refused} refused, {outcome.Loaded} loaded: the spoiling is too hard or too soft");
    }

    [Fact]
    public void A_spoilt_reply_is_the_number_that_it_says_or_a_failure_of_communication()
    {
        ReplyFuzz.Outcome outcome = ReplyFuzz.Run(ShippedConfiguration.Load().Configuration.Instruments, seed: 7, count: 20_000);

        Assert.Empty(outcome.Wrong);
        Assert.True(outcome.Read > 3_000 && outcome.Failures.Values.Sum() > 3_000, $"{outcome.Read} read: the spoiling is too hard or too soft");
    }
}
