using System.CommandLine;

namespace Barostep.Daemon.Commands;

/// <summary><c>manual</c>: writes the manual page that is kept in the repository and goes into the package.</summary>
internal static class ManualCommand
{
    public static Command Build(CommandIo io)
    {
        var command = new Command("manual", "Writes the manual page, in the macros of man(7).") { Hidden = true };
        command.SetAction(_ =>
        {
            io.Out.Write(ManualPage.Of(CommandLine.Root(io)));
            return ExitCodes.Done;
        });
        return command;
    }
}
