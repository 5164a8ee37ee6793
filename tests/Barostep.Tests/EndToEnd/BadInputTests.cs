namespace Barostep.Tests.EndToEnd;

[Collection(RealPrograms.Name)]
public sealed class BadInputTests : IDisposable
{
    private readonly Workshop _workshop = new();

    public void Dispose() => _workshop.Dispose();

    [Theory]
    [InlineData("sweep --bench nowhere --device transmitter-16bar --procedure quick", "no bench 'nowhere'; there are: demo, gauge")]
    [InlineData("sweep --bench demo --device nothing --procedure quick", "no device 'nothing'; there are: dial-gauge, gauge-10bar, gauge-compound, switch-3bar, transmitter-16bar, transmitter-6bar")]
    [InlineData("sweep --bench demo --device transmitter-16bar --procedure never", "no procedure 'never'; there are: cg-17-basic, ")]
    [InlineData("sweep --bench gauge --device transmitter-16bar --procedure quick", "devices/transmitter-16bar.toml:27:8: output.kind = \"current\" on bench gauge, which has no [multimeter]")]
    [InlineData("demo --procedure never", "no procedure 'never'; there are: cg-17-basic, ")]
    public async Task A_name_that_is_not_there_is_refused_with_those_that_are(string arguments, string message) =>
        await Refused(arguments, message);

    [Theory]
    [InlineData("demo --fast", "--fast")]
    [InlineData("demo --seed many", "'many'")]
    [InlineData("sweep --bench demo --device transmitter-16bar --procedure quick --fast", "--fast")]
    [InlineData("sweep --bench demo", "--procedure")]
    [InlineData("sweep --bench demo --procedure five-point", "--device NAME, or --job NAME")]
    [InlineData("calibrate", "calibrate")]
    public async Task An_option_or_command_that_is_not_understood_is_named(string arguments, string message)
    {
        Finished refused = await ChildProgram.RunAsync(_workshop.Folder, arguments.Split(' '));

        Assert.Equal((2, string.Empty), (refused.ExitCode, refused.Out));
        Assert.Contains(message, refused.Error, StringComparison.Ordinal);
        NoStackTrace(refused);
    }

    [Theory]
    [InlineData("demo --procedure quick")]
    [InlineData("sweep --bench demo --device transmitter-16bar --procedure quick")]
    public async Task A_point_above_the_ceiling_is_refused_at_its_place_in_the_procedure(string arguments)
    {
        // The ceiling is lower than the 10 % point of 16 bar.
        _workshop.Change("benches/demo.toml", "ceiling = \"17 bar gauge\"", "ceiling = \"1.5 bar gauge\"");
        File.WriteAllText(Path.Combine(_workshop.Config, "barostep.toml"), "benches = [\"demo\"]\n");
        await Refused(arguments, "procedures/quick.toml:2:33: the point 10 % of device transmitter-16bar is 1.6 bar gauge on bench demo, above the ");
    }

    [Theory]
    [InlineData("demo --procedure quick")]
    [InlineData("sweep --bench demo --device transmitter-16bar --procedure quick")]
    public async Task A_folder_that_cannot_be_written_is_refused(string arguments)
    {
        File.WriteAllText(_workshop.In("file"), string.Empty);
        Finished refused = await ChildProgram.RunAsync(
            _workshop.Folder, [.. arguments.Split(' '), "--config", _workshop.Config, "--out", _workshop.In("file/out")]);

        OneLine(refused, $"the folder {_workshop.In("file/out")} cannot be written: ");
        Assert.Contains("--out", refused.Error, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("demo")]
    [InlineData("sweep --bench demo --device transmitter-16bar --procedure five-point")]
    [InlineData("serve")]
    [InlineData("check")]
    public async Task A_configuration_folder_that_is_not_there_is_refused(string arguments)
    {
        Finished refused = await ChildProgram.RunAsync(_workshop.Folder, [.. arguments.Split(' '), "--config", _workshop.In("absent")]);
        OneLine(refused, $"there is no configuration folder {_workshop.In("absent")}");
    }

    [Theory]
    [InlineData("sweep --bench demo --device transmitter-16bar --procedure quick --ports ports")]
    [InlineData("serve --ports ports")]
    public async Task A_state_folder_that_cannot_be_made_is_refused(string arguments)
    {
        File.WriteAllText(_workshop.In("file"), string.Empty);
        _workshop.Change("barostep.toml", "state_folder = \"state\"", "state_folder = \"file/state\"");
        Finished refused = await ChildProgram.RunAsync(_workshop.Folder, [.. arguments.Split(' '), "--config", _workshop.Config]);
        OneLine(refused, $"the state folder {_workshop.In("file/state")} cannot be ");
    }

    /// <summary>Refused with one line, and before anything was opened: what an earlier run left is still there.</summary>
    private async Task Refused(string arguments, string message)
    {
        Directory.CreateDirectory(_workshop.In("out"));
        File.WriteAllText(_workshop.In("out/journal.jsonl"), "kept");
        OneLine(await ChildProgram.RunAsync(_workshop.Folder, [.. arguments.Split(' '), "--config", _workshop.Config, "--out", "out"]), message);
        Assert.Equal([_workshop.In("out/journal.jsonl")], Directory.GetFiles(_workshop.In("out")));
        Assert.Equal("kept", File.ReadAllText(_workshop.In("out/journal.jsonl")));
        Assert.False(Directory.Exists(_workshop.In("state")));
    }

    private static void OneLine(Finished refused, string message)
    {
        Assert.Equal((2, string.Empty), (refused.ExitCode, refused.Out));
        Assert.Single(refused.Error.TrimEnd('\n').Split('\n'));
        Assert.Contains(message, refused.Error, StringComparison.Ordinal);
        NoStackTrace(refused);
    }

    private static void NoStackTrace(Finished refused) => Assert.DoesNotContain("   at ", refused.Error, StringComparison.Ordinal);
}
