using System.CommandLine;
using System.CommandLine.Parsing;
using Barostep.Lines.GuardLine;
using Barostep.Safety;

namespace Barostep.Daemon.Commands;

/// <summary><c>alarm</c>: a person has seen the alarms of a bench, or keeps one back. It changes nothing that the guard decides.</summary>
internal static class AlarmCommand
{
    public static Command Build(CommandIo io)
    {
        Option<bool> seen = new("--seen") { Description = "you have seen every alarm; a trip is answered for with acknowledge" };
        Option<string?> shelve = new("--shelve") { Description = "alarm to keep back for --minutes, as status names it; none that aborts, trips or drops" };
        Option<uint> minutes = new("--minutes") { Description = "with --shelve: for how long, 30 at most", DefaultValueFactory = _ => 30 };
        Option<string?> takeOut = new("--out-of-service") { Description = "alarm to keep back until it is returned" };
        Option<string?> back = new("--return") { Description = "alarm to show again" };
        Option<string> who = GuardCommands.Who();
        Option<string> why = GuardCommands.Why();
        Option<bool> json = Options.Json();
        var place = new GuardCommands.Place("alarm", "Says that alarms were seen, or keeps one back. The guard decides as before.", seen, shelve, minutes, takeOut, back, who, why, json);
        place.Command.SetAction(arguments =>
        {
            (AlarmAction action, Cause cause) = Chosen(arguments, seen, shelve, takeOut, back);
            var asked = new AlarmRecord(0, action, cause, arguments.GetValue(minutes), arguments.GetValue(who)!, arguments.GetValue(why)!);
            (GuardClient client, string bench) = place.Connect(arguments);
            using GuardClient guard = client;
            ReplyRecord? reply = guard.Ask(number => (asked with { Number = number }).Write);
            if (reply is not { Accepted: true })
                throw new RefusedException($"bench {bench}: refused: {reply?.Message ?? "the guard did not answer"}");
            GuardCommands.Accepted(io, arguments.GetValue(json), bench);
            return ExitCodes.Done;
        });
        return place.Command;
    }

    private static (AlarmAction Action, Cause Cause) Chosen(
        ParseResult arguments, Option<bool> seen, Option<string?> shelve, Option<string?> takeOut, Option<string?> back)
    {
        var chosen = new List<(AlarmAction, Cause)>();
        if (arguments.GetValue(seen))
            chosen.Add((AlarmAction.Acknowledge, Cause.None));
        Add(AlarmAction.Shelve, shelve);
        Add(AlarmAction.TakeOutOfService, takeOut);
        Add(AlarmAction.Return, back);
        return chosen.Count == 1
            ? chosen[0]
            : throw new RefusedException("say one thing: --seen, --shelve ALARM, --out-of-service ALARM or --return ALARM");

        void Add(AlarmAction action, Option<string?> option)
        {
            if (arguments.GetValue(option) is { } name)
                chosen.Add((action, CauseNamed(name)));
        }
    }

    private static Cause CauseNamed(string name)
    {
        foreach (CausePolicy one in CausePolicy.All)
        {
            if (string.Equals(one.Cause.ToString(), name, StringComparison.Ordinal))
                return one.Cause;
        }

        throw new RefusedException($"there is no alarm '{name}'; docs/safety.md lists them, and status shows which are up");
    }
}
