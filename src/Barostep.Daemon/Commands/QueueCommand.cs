using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using Barostep.Daemon.Output;

namespace Barostep.Daemon.Commands;

/// <summary><c>queue</c>: runs that the daemon does one after the other while nobody looks.</summary>
internal static class QueueCommand
{
    public static Command Build(CommandIo io) => new("queue", "Runs that the daemon does one after the other while nobody looks.")
    {
        List(io), Add(io), Remove(io), Start(io), Pause(io),
    };

    private static Command List(CommandIo io)
    {
        var daemon = new DaemonClient();
        Option<bool> json = Options.Json();
        Command command = daemon.With(new Command("list", "Shows what goes on, what waits and for what, and what is over.") { json });
        command.SetAction(async (arguments, _) =>
        {
            JsonElement told = await daemon.GetAsync(arguments, "queue");
            if (arguments.GetValue(json))
                Json.Write(io.Out, told);
            else
                WriteText(io.Out, told);
            return ExitCodes.Done;
        });
        return command;
    }

    private static Command Add(CommandIo io)
    {
        var daemon = new DaemonClient();
        Option<string> bench = Bench();
        Option<string> device = new("--device") { Description = "device to calibrate", Required = true };
        Option<string> procedure = new("--procedure") { Description = "procedure to run", Required = true };
        Option<string?> from = new("--not-before") { Description = "earliest moment: 2026-11-25T22:00, by this machine's clock, or with an offset such as Z or +01:00" };
        Option<string> onFailure = new("--on-failure")
        {
            Description = "stop or go-on: what becomes of the queue when this run fails. A trip halts it in any case",
            DefaultValueFactory = static _ => "stop",
        };
        Option<bool> json = Options.Json();
        Command command = daemon.With(new Command("add", "Adds a run at the end of a bench's queue.") { bench, device, procedure, from, onFailure, daemon.Who, json });
        command.SetAction(async (arguments, _) =>
        {
            JsonElement added = await daemon.PostAsync(arguments, $"benches/{Name(arguments, bench)}/queue", new
            {
                device = arguments.GetValue(device),
                procedure = arguments.GetValue(procedure),
                notBeforeUtc = MomentOf(arguments.GetValue(from)),
                onFailure = PolicyNamed(arguments.GetValue(onFailure)!),
                who = arguments.GetValue(daemon.Who),
            });
            Tell(io, arguments, json, added, io.Out, added.GetProperty("id").GetInt64().ToString(CultureInfo.InvariantCulture));
            return ExitCodes.Done;
        });
        return command;
    }

    private static Command Remove(CommandIo io)
    {
        var daemon = new DaemonClient();
        Argument<long> id = new("id") { Description = "number of the queued run, as queue list shows it" };
        Option<bool> json = Options.Json();
        Command command = daemon.With(new Command("remove", "Takes out a run that has not begun.") { id, daemon.Who, json });
        command.SetAction(async (arguments, _) =>
        {
            JsonElement done = await daemon.PostAsync(arguments, $"queue/{arguments.GetValue(id).ToString(CultureInfo.InvariantCulture)}/remove", new { who = arguments.GetValue(daemon.Who) });
            Tell(io, arguments, json, done, io.Error, $"queued run {arguments.GetValue(id)} is out of the queue");
            return ExitCodes.Done;
        });
        return command;
    }

    private static Command Start(CommandIo io)
    {
        var daemon = new DaemonClient();
        Option<string> bench = Bench();
        Option<string> mounted = new("--mounted") { Description = "the device that you have seen mounted on the bench: no other is calibrated", Required = true };
        Option<bool> json = Options.Json();
        Command command = daemon.With(new Command("start", "Starts a bench's queue; after every start of the daemon somebody must.") { bench, mounted, daemon.Who, json });
        command.SetAction(async (arguments, _) =>
        {
            JsonElement queue = await daemon.PostAsync(
                arguments, $"benches/{Name(arguments, bench)}/queue/start", new { mounted = arguments.GetValue(mounted), who = arguments.GetValue(daemon.Who) });
            Tell(io, arguments, json, queue, io.Error, $"the queue is started, {queue.GetProperty("runs").GetArrayLength()} in it");
            return ExitCodes.Done;
        });
        return command;
    }

    private static Command Pause(CommandIo io)
    {
        var daemon = new DaemonClient();
        Option<string> bench = Bench();
        Option<bool> json = Options.Json();
        Command command = daemon.With(new Command("pause", "Begins nothing more; a run that goes on is left alone.") { bench, daemon.Who, json });
        command.SetAction(async (arguments, _) =>
        {
            JsonElement queue = await daemon.PostAsync(arguments, $"benches/{Name(arguments, bench)}/queue/pause", new { who = arguments.GetValue(daemon.Who) });
            Tell(io, arguments, json, queue, io.Error, "the queue is paused; 'vent' or 'status' for a run that goes on");
            return ExitCodes.Done;
        });
        return command;
    }

    private static void Tell(CommandIo io, ParseResult arguments, Option<bool> json, JsonElement told, TextWriter people, string words)
    {
        if (arguments.GetValue(json))
            Json.Write(io.Out, told);
        else
            people.WriteLine(words);
    }

    private static void WriteText(TextWriter output, JsonElement told)
    {
        foreach (JsonElement queue in told.EnumerateArray())
        {
            string mounted = queue.GetProperty("started").GetBoolean()
                ? $"started by {queue.GetProperty("startedBy").GetString()}, {queue.GetProperty("mounted").GetString()} is mounted"
                : "paused";
            string says = queue.GetProperty("says").GetString()!;
            output.WriteLine($"{queue.GetProperty("bench").GetString()}: {mounted}{(says.Length > 0 ? $"; {says}" : string.Empty)}");
            var table = new ColumnTable("id", "device", "procedure", "not before, UTC", "on failure", "by", "state", "note");
            foreach (JsonElement run in queue.GetProperty("runs").EnumerateArray().Concat(queue.GetProperty("over").EnumerateArray()))
            {
                table.Add(
                    run.GetProperty("id").GetInt64().ToString(CultureInfo.InvariantCulture), Text(run, "device"), Text(run, "procedure"),
                    run.GetProperty("notBeforeUtc").ValueKind == JsonValueKind.Null ? string.Empty : RecordText.Moment(run.GetProperty("notBeforeUtc").GetDateTimeOffset()),
                    Text(run, "onFailure"), Text(run, "addedBy"), Text(run, "state"), Text(run, "note"));
            }

            table.Write(output);
        }
    }

    private static string Text(JsonElement run, string member) => run.GetProperty(member).GetString() ?? string.Empty;

    private static Option<string> Bench() => new("--bench") { Description = "bench whose queue it is", Required = true };

    private static string Name(ParseResult arguments, Option<string> bench) => Uri.EscapeDataString(arguments.GetValue(bench)!);

    /// <summary>A moment as people write it; without an offset it is by this machine's clock.</summary>
    /// <exception cref="RefusedException">It is none.</exception>
    internal static DateTimeOffset? MomentOf(string? written)
    {
        if (written is null)
            return null;
        return DateTimeOffset.TryParse(written, CultureInfo.InvariantCulture, DateTimeStyles.AssumeLocal, out DateTimeOffset moment)
            ? moment.ToUniversalTime()
            : throw new RefusedException($"'{written}' is no moment; write for example 2026-11-25T22:00, or 2026-11-25T21:00Z");
    }

    private static string PolicyNamed(string word) => word switch
    {
        "stop" => "stop",
        "go-on" => "goOn",
        _ => throw new RefusedException($"--on-failure {word} is not understood; write stop or go-on"),
    };
}
