using System.CommandLine;
using System.Text.Json;
using Barostep.Daemon.Output;
using Barostep.Lines;

namespace Barostep.Daemon.Commands;

/// <summary><c>ports</c>: the serial ports by their stable names, who holds each, and who may use it.</summary>
internal static class PortsCommand
{
    public static Command Build(CommandIo io)
    {
        Option<string> names = new("--names") { Description = "folder of stable names", DefaultValueFactory = _ => PortList.StableNames };
        Option<bool> json = Options.Json();
        var command = new Command("ports", "Lists the serial ports by their stable names, who holds each, and whether this user may use it.") { names, json };
        command.SetAction(arguments =>
        {
            IReadOnlyList<ListedPort> ports = PortList.Of(arguments.GetValue(names)!);
            if (arguments.GetValue(json))
                WriteJson(io, ports);
            else
                WriteLines(io, ports);
            return ExitCodes.Done;
        });
        return command;
    }

    private static void WriteLines(CommandIo io, IReadOnlyList<ListedPort> ports)
    {
        if (ports.Count == 0)
            io.Error.WriteLine("no serial adapter is plugged in; a network instrument is written tcp://host:port and is not listed");
        foreach (ListedPort port in ports)
        {
            io.Out.WriteLine(port.Name);
            io.Out.WriteLine($"  device  {port.Device}, group {port.Permission.Group ?? "unknown"}");
            io.Out.WriteLine($"  held by {port.HeldBy ?? "nobody"}");
            io.Out.WriteLine($"  use     {(port.Permission.IsGranted ? "allowed" : port.Permission.Advice)}");
        }
    }

    private static void WriteJson(CommandIo io, IReadOnlyList<ListedPort> ports) =>
        io.Out.WriteLine(JsonSerializer.Serialize(
            ports.Select(port => new
            {
                name = port.Name,
                device = port.Device,
                group = port.Permission.Group,
                heldBy = port.HeldBy,
                allowed = port.Permission.IsGranted,
                advice = port.Permission.Advice,
            }),
            Json.Indented));
}
