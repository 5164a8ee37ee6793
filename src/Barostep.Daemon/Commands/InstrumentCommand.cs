using System.CommandLine;
using System.Text.Json;
using Barostep.Configuration;
using Barostep.Configuration.Files;
using Barostep.Daemon.Output;
using Barostep.Instruments;
using Barostep.Instruments.Probing;
using Barostep.Lines;

namespace Barostep.Daemon.Commands;

/// <summary><c>instrument probe</c>: tries a definition on the instrument that it is for, without making pressure.</summary>
internal static class InstrumentCommand
{
    private const int UsualRepeats = 5;

    public static Command Build(CommandIo io) => new("instrument", "Works on one instrument and its definition.") { Probe(io) };

    private static Command Probe(CommandIo io)
    {
        Option<string> definition = new("--definition") { Description = "file of the definition, or the name of one in the configuration", Required = true };
        Option<string> port = new("--port") { Description = "device path of its port, or tcp://host:port", Required = true };
        Option<string?> address = new("--address") { Description = "its address on the line; without it the definition's" };
        Option<int?> baud = new("--baud") { Description = "speed of the line; without it the definition's" };
        Option<int> repeats = new("--repeats") { Description = "how often each question is asked, 1 to 1000", DefaultValueFactory = _ => UsualRepeats };
        Option<string?> transcript = new("--transcript") { Description = "file for the whole exchange; put into tests/transcripts/ it is a test" };
        Option<string?> config = Options.Config();
        Option<bool> json = Options.Json();
        var command = new Command("probe", "Tries everything that a definition says, except what could make pressure: a source is vented, nothing else changes it.")
        {
            definition, port, address, baud, repeats, transcript, config, json,
        };
        command.SetAction(async (arguments, cancel) =>
        {
            InstrumentDefinition read = Find(arguments.GetValue(definition)!, arguments.GetValue(config));
            var fitted = new FittedInstrument(At(read, arguments.GetValue(address)), arguments.GetValue(port)!, Baud(arguments.GetValue(baud)), null, 0);
            int times = arguments.GetValue(repeats) is >= 1 and <= 1000 and var given
                ? given
                : throw new RefusedException($"--repeats {arguments.GetValue(repeats)} is out of range; write a number from 1 to 1000");
            ProbedInstrument probed = await ProbedInstrument.TryAsync(fitted, times, cancel);
            if (arguments.GetValue(transcript) is { } file)
                Keep(file, probed.Transcript);
            if (arguments.GetValue(json))
                io.Out.WriteLine(JsonSerializer.Serialize(ProbeText.Json(probed), Json.Indented));
            else
                ProbeText.Write(io.Out, probed);
            return probed.Worked ? ExitCodes.Done : ExitCodes.InstrumentFailure;
        });
        return command;
    }

    private static InstrumentDefinition Find(string given, string? config)
    {
        if (!given.EndsWith(".toml", StringComparison.Ordinal) && !given.Contains('/', StringComparison.Ordinal))
            return ConfigurationFolder.Named(ConfigurationFolder.Load(config).Instruments, "instrument", given);
        string text;
        try
        {
            text = File.ReadAllText(given);
        }
        catch (Exception error) when (error is IOException or UnauthorizedAccessException)
        {
            throw new RefusedException($"{given} cannot be read: {error.Message}");
        }

        InstrumentReading reading = InstrumentReading.Of(given, text);
        return reading.Errors.Count == 0 ? reading.Definition! : throw new RefusedException(string.Join('\n', reading.Errors));
    }

    private static InstrumentDefinition At(InstrumentDefinition definition, string? address)
    {
        if (address is null)
            return definition;
        if (definition.Address is null || !AddressRule.Fits(address))
            throw new RefusedException($"--address {address}: {(definition.Address is null ? $"no message of {definition.Name} has an {{address}}" : AddressRule.Rule)}");
        try
        {
            return definition.At(address);
        }
        catch (ArgumentException)
        {
            throw new RefusedException($"--address {address}: a Modbus address is a number from 1 to 247");
        }
    }

    private static int? Baud(int? given) => given is null or (>= 300 and <= 1_000_000)
        ? given
        : throw new RefusedException($"--baud {given} is out of range; write a number from 300 to 1000000");

    private static void Keep(string file, Transcript transcript)
    {
        try
        {
            using var writer = new StreamWriter(file) { NewLine = "\n" };
            transcript.Write(writer);
        }
        catch (Exception error) when (error is IOException or UnauthorizedAccessException)
        {
            throw new RefusedException($"--transcript {file} cannot be written: {error.Message}");
        }
    }
}
