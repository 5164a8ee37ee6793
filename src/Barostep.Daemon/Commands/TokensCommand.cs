using System.CommandLine;
using Barostep.Configuration;
using Barostep.Daemon.Access;
using Barostep.Daemon.Output;

namespace Barostep.Daemon.Commands;

/// <summary><c>tokens</c>: who may ask the daemon from the network.</summary>
internal static class TokensCommand
{
    public static Command Build(CommandIo io) => new("tokens", "Gives and takes the tokens by which people and scripts reach the daemon from the network.")
    {
        Add(io), List(io), Remove(io),
    };

    private static Command Add(CommandIo io)
    {
        Option<string> name = new("--name") { Description = "whose it is; journals and records show this name", Required = true };
        Option<string> role = new("--role") { Description = "watch, operate or limits; each includes those before it", Required = true };
        Option<string?> config = Options.Config();
        Option<string?> state = Options.State();
        Option<bool> json = Options.Json();
        var command = new Command("add", "Prints a new token, once; only its hash is kept.") { name, role, state, config, json };
        command.SetAction(arguments =>
        {
            TokenFile file = FileOf(arguments, state, config);
            (string text, AccessToken kept) = AccessToken.Draw(
                arguments.GetValue(name)!, RoleNamed(arguments.GetValue(role)!), TimeProvider.System.GetUtcNow());
            file.Add(kept);
            if (arguments.GetValue(json))
                Json.Write(io.Out, new { name = kept.Name, role = AccessGate.Word(kept.Role), token = text });
            else
                io.Out.WriteLine(text);
            io.Error.WriteLine($"This is the token of '{kept.Name}', role {AccessGate.Word(kept.Role)}. It is shown this once; whoever has it may do what the role may.");
            return ExitCodes.Done;
        });
        return command;
    }

    private static Command List(CommandIo io)
    {
        Option<string?> config = Options.Config();
        Option<string?> state = Options.State();
        Option<bool> json = Options.Json();
        var command = new Command("list", "Shows who has a token, and its role.") { state, config, json };
        command.SetAction(arguments =>
        {
            IReadOnlyList<AccessToken> tokens = FileOf(arguments, state, config).Read();
            if (arguments.GetValue(json))
            {
                Json.Write(io.Out, tokens.Select(token => new { name = token.Name, role = AccessGate.Word(token.Role), addedUtc = token.AddedUtc }));
                return ExitCodes.Done;
            }

            var table = new ColumnTable("name", "role", "added, UTC");
            foreach (AccessToken token in tokens)
                table.Add(token.Name, AccessGate.Word(token.Role), RecordText.Moment(token.AddedUtc));
            table.Write(io.Out);
            return ExitCodes.Done;
        });
        return command;
    }

    private static Command Remove(CommandIo io)
    {
        Option<string> name = new("--name") { Description = "whose it is", Required = true };
        Option<string?> config = Options.Config();
        Option<string?> state = Options.State();
        Option<bool> json = Options.Json();
        var command = new Command("remove", "Takes a token back; a daemon that runs heeds it at once.") { name, state, config, json };
        command.SetAction(arguments =>
        {
            FileOf(arguments, state, config).Remove(arguments.GetValue(name)!);
            if (arguments.GetValue(json))
                Json.Write(io.Out, new { name = arguments.GetValue(name), removed = true });
            io.Error.WriteLine($"the token of '{arguments.GetValue(name)}' is worth nothing any more");
            return ExitCodes.Done;
        });
        return command;
    }

    private static TokenFile FileOf(ParseResult arguments, Option<string?> state, Option<string?> config)
    {
        if (arguments.GetValue(state) is { } given)
            return new TokenFile(given);
        WorkshopConfiguration workshop = ConfigurationFolder.Load(arguments.GetValue(config));
        return new TokenFile(Options.StateOf(null, workshop));
    }

    private static AccessRole RoleNamed(string word) => word switch
    {
        "watch" => AccessRole.Watch,
        "operate" => AccessRole.Operate,
        "limits" => AccessRole.Limits,
        _ => throw new RefusedException($"there is no role '{word}'; write watch, operate or limits"),
    };
}
