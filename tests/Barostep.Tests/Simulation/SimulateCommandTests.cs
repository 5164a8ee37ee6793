using System.Text.Json;
using Barostep.Daemon;
using Barostep.Daemon.Commands;
using Barostep.Daemon.Simulation;
using Barostep.Daemon.Simulation.Faults;

namespace Barostep.Tests.Simulation;

public class SimulateCommandTests
{
    [Fact]
    public async Task It_reports_seeds_and_speed_as_one_document()
    {
        (int code, string output, _) = await Run("simulate", "--seeds", "3", "--faults", "none", "--json");

        using JsonDocument told = JsonDocument.Parse(output);
        Assert.Equal(ExitCodes.Done, code);
        Assert.Equal(3, told.RootElement.GetProperty("seeds").GetInt32());
        Assert.True(told.RootElement.GetProperty("benchHours").GetDouble() > 0);
        Assert.Equal(0, told.RootElement.GetProperty("violations").GetArrayLength());
    }

    [Fact]
    public async Task A_schedule_repeats_to_the_bit()
    {
        string[] arguments = ["simulate", "--seed", "11", "--faults", "reference-silence:0@settle.middle+3,fill-stuck-open:1@21.5+2"];

        (_, string once, _) = await Run(arguments);
        (_, string again, _) = await Run(arguments);

        Assert.Equal(TraceOf(once), TraceOf(again));
        Assert.Contains("barostep simulate --seed 11 --faults reference-silence:0@settle.middle+3,fill-stuck-open:1@21.5+2", once, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("nothing-of-the-kind@5+1", "there is no fault 'nothing-of-the-kind'")]
    [InlineData("reference-silence@nowhere.middle+1", "is no time")]
    [InlineData("reference-silence:9@5+1", "has the sizes 0 to 1")]
    [InlineData("reference-silence@5", "write NAME")]
    [InlineData("reference-silense", "there is no fault 'reference-silense'")]
    public async Task A_list_that_is_not_understood_is_refused_with_what_to_write(string faults, string told)
    {
        (int code, _, string error) = await Run("simulate", "--seed", "1", "--faults", faults);

        Assert.Equal(ExitCodes.Refused, code);
        Assert.Contains(told, error, StringComparison.Ordinal);
    }

    [Fact]
    public void Every_fault_is_read_back_as_it_was_written()
    {
        for (ulong seed = 0; seed < 400; seed++)
        {
            IReadOnlyList<PlannedFault> drawn = FaultDraw.Swarm(seed, FaultCatalogue.All);
            Assert.Equal(drawn, PlannedFault.ParseList(string.Join(",", drawn)));
        }
    }

    [Fact]
    public void A_violation_shrinks_to_the_fault_that_shows_it()
    {
        Mutant forgets = Mutant.All.Single(mutant => mutant.Name == "an unclean stop is not noticed");
        var plan = new WorldPlan(4, PlannedFault.ParseList(
            "multimeter-late:1@safe.middle+0.05,guard-killed@settle.middle+10,ambient:0@12.345678+forever,stop-pressed:1@boot.entry+0.05"));
        const string invariant = "I7 trip stays";

        var shrinker = new Shrinker(Worlds.Source, invariant, forgets.Make());
        WorldPlan least = shrinker.Shrink(plan);

        Assert.Equal("guard-killed", Assert.Single(least.Faults).Kind.Name);
        Assert.True(least.OnePoint);
        Assert.Contains(SeedRun.Of(Worlds.Source, least, forgets.Make()).Violations, violation => violation.Invariant == invariant);
    }

    private static string TraceOf(string output) => output[output.IndexOf("trace ", StringComparison.Ordinal)..][..22];

    private static async Task<(int Code, string Output, string Error)> Run(params string[] arguments)
    {
        using var output = new StringWriter();
        using var error = new StringWriter();
        int code = await CommandLine.RunAsync(arguments, new CommandIo(output, error, IsInteractive: false));
        return (code, output.ToString(), error.ToString());
    }
}
