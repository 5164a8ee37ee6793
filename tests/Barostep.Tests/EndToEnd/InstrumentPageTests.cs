using System.Text.RegularExpressions;
using Barostep.Tests.Repository;

namespace Barostep.Tests.EndToEnd;

/// <summary>A newcomer does what the page says, with the real programs and nothing else.</summary>
[Collection(RealPrograms.Name)]
public sealed partial class InstrumentPageTests : IDisposable
{
    private readonly Workshop _workshop = new();

    public void Dispose() => _workshop.Dispose();

    [Fact]
    public async Task The_steps_of_the_page_add_an_instrument_that_no_shipped_definition_is_for()
    {
        string page = File.ReadAllText(Path.Combine(RepositoryPaths.Root, "docs", "instrument-definitions.md"));
        ChildProgram? bench = null;
        List<string> done = [];
        try
        {
            foreach (Match block in Block().Matches(page))
            {
                if (block.Groups["kind"].Value == "toml")
                {
                    string text = block.Groups["text"].Value;
                    await File.WriteAllTextAsync(_workshop.In(text[2..text.IndexOf('\n', StringComparison.Ordinal)]), text);
                    continue;
                }

                foreach (string line in block.Groups["text"].Value.Split('\n', StringSplitOptions.RemoveEmptyEntries))
                {
                    string[] words = line.Split(' ');
                    switch (words[0])
                    {
                        case "barostep-bench":
                            bench = ChildProgram.Start(Programs.Bench, _workshop.Folder, [.. words[1..], "--until-stdin-closes"]);
                            await bench.UntilAsync(() => bench.Out.Contains("ready", StringComparison.Ordinal));
                            break;
                        case "cp":
                            File.Copy(_workshop.In(words[1]), _workshop.In(words[2]));
                            break;
                        default:
                            Assert.Equal("barostep", words[0]);
                            Finished finished = await ChildProgram.RunAsync(_workshop.Folder, words[1..]);
                            Assert.True(finished.ExitCode == 0, $"{line}\n{finished.Out}{finished.Error}");
                            break;
                    }

                    done.Add(words[0]);
                }
            }
        }
        finally
        {
            bench?.Input.Close();
            bench?.Dispose();
        }

        Assert.Equal(["barostep-bench", "barostep", "cp", "barostep"], done);
        string transcript = await File.ReadAllTextAsync(_workshop.In("panel-gauge.transcript"));
        Assert.Contains("= identify: @21 PANEL GAUGE;SG-00733;V3*", transcript, StringComparison.Ordinal);
        Assert.Matches(@"= read_pressure: -?0\.\d+ kPa gauge", transcript);
    }

    [Fact]
    public async Task A_probe_of_a_controller_vents_it_and_sends_nothing_that_could_make_pressure()
    {
        using RunningBench bench = await RunningBench.StartAsync(_workshop.In("bench"));
        string transcript = _workshop.In("controller.transcript");
        Finished finished = await ChildProgram.RunAsync(
            _workshop.Folder, "instrument", "probe", "--definition", "text-controller", "--config", _workshop.Config, "--port", Path.Combine(bench.Ports, "controller"), "--repeats", "2", "--transcript", transcript);

        Assert.True(finished.ExitCode == 0, finished.Out + finished.Error);
        string[] sent = [.. File.ReadLines(transcript).Where(line => line.Contains(" > ", StringComparison.Ordinal)).Select(line => line[(line.IndexOf(" > ", StringComparison.Ordinal) + 3)..])];
        Assert.Contains("SOUR:MODE VENT;MODE?\\x0A", sent);
        Assert.DoesNotContain(sent, message => message.Contains("TARG ", StringComparison.Ordinal) || message.Contains("RATE ", StringComparison.Ordinal)
            || message.Contains("LIM ", StringComparison.Ordinal) || message.Contains("CONT", StringComparison.Ordinal) || message.Contains("HOLD", StringComparison.Ordinal));
        Assert.All(RunningBench.Truth(bench.TruthPath), moment => Assert.Equal(0, moment.FillOpening));
    }

    [Fact]
    public async Task A_probe_of_the_wrong_instrument_says_which_one_is_there_and_asks_it_nothing_more()
    {
        using RunningBench bench = await RunningBench.StartAsync(_workshop.In("bench"));
        Finished finished = await ChildProgram.RunAsync(
            _workshop.Folder, "instrument", "probe", "--definition", "text-controller", "--baud", "9600", "--config", _workshop.Config, "--port", Path.Combine(bench.Ports, "multimeter"));

        Assert.Equal(4, finished.ExitCode);
        Assert.Contains("model 'CONTROLLER' is expected and the instrument says 'MULTIMETER'", finished.Out, StringComparison.Ordinal);
        Assert.DoesNotContain("MODE", finished.Out, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_port_that_is_not_there_is_told_with_what_to_do()
    {
        Finished finished = await ChildProgram.RunAsync(
            _workshop.Folder, "instrument", "probe", "--definition", "text-controller", "--config", _workshop.Config, "--port", "/dev/serial/by-id/none");

        Assert.Equal(2, finished.ExitCode);
        Assert.Contains("there is no such port; plug the adapter in, or see 'barostep ports'", finished.Error, StringComparison.Ordinal);
    }

    [GeneratedRegex("^```(?<kind>sh|toml)\n(?<text>.*?)^```$", RegexOptions.Multiline | RegexOptions.Singleline)]
    private static partial Regex Block();
}
