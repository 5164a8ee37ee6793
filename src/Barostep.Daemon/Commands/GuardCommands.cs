using System.CommandLine;
using System.CommandLine.Parsing;
using Barostep.Configuration;
using Barostep.Control;
using Barostep.Lines.GuardLine;
using Barostep.Safety;

namespace Barostep.Daemon.Commands;

/// <summary>
/// <c>status</c>, <c>vent</c>, <c>acknowledge</c> and <c>ceiling</c>: a person talks to a bench's guard, which listens
/// whether or not the daemon lives.
/// </summary>
internal static class GuardCommands
{
    private static readonly TimeSpan SnapshotTime = TimeSpan.FromSeconds(2);

    public static Command Vent(CommandIo io)
    {
        Option<bool> atOnce = new("--at-once") { Description = "as fast as the bench can, instead of at the allowed rate; it counts as a trip" };
        Option<bool> json = Options.Json();
        var place = new Place("vent", "Vents a bench. Always accepted, from anybody who can reach the guard's socket.", atOnce, json);
        place.Command.SetAction(arguments =>
        {
            string bench = arguments.GetValue(place.Bench)!;
            // First of all, and without a word about who asks: who merely looks on may be refused, a vent never is.
            if (!GuardClient.TryVent(place.Socket(arguments), arguments.GetValue(atOnce)))
                throw new RefusedException($"no guard of bench {bench} listens on {place.Socket(arguments)}");
            SnapshotRecord? vented = WaitForVent(place, arguments);
            if (arguments.GetValue(json))
                Json.Write(io.Out, new { bench, asked = true, depressurised = vented is not null });
            else
                io.Out.WriteLine(vented is null
                    ? $"bench {bench}: asked to vent; NOT confirmed yet that it is depressurised"
                    : $"bench {bench}: depressurised by its sensors; look at a gauge before touching a fitting");
            return vented is null ? ExitCodes.InstrumentFailure : ExitCodes.Done;
        });
        return place.Command;
    }

    public static Command Acknowledge(CommandIo io)
    {
        Option<uint> trip = new("--trip") { Description = "number of the trip, as status tells it", Required = true };
        Option<string> who = Who();
        Option<string> why = Why();
        Option<bool> json = Options.Json();
        var place = new Place("acknowledge", "Answers for a trip, so that the bench may be used again. It must be depressurised.", trip, who, why, json);
        place.Command.SetAction(arguments => Ask(io, place, arguments, json, _ => new PersonRecord(
            0, PersonRequestKind.Acknowledge, arguments.GetValue(trip), Pressure.Vacuum, arguments.GetValue(who)!, arguments.GetValue(why)!)));
        return place.Command;
    }

    public static Command Ceiling(CommandIo io)
    {
        Option<string> set = new("--set") { Description = "the ceiling, with unit and reference, such as \"9 bar gauge\"", Required = true };
        Option<string> who = Who();
        Option<string> why = Why();
        Option<bool> json = Options.Json();
        var place = new Place("ceiling", "Lowers a bench's ceiling at once, or raises a lowered one while the bench is safe.", set, who, why, json);
        place.Command.SetAction(arguments => Ask(io, place, arguments, json, present =>
        {
            WorkshopConfiguration workshop = place.Workshop(arguments);
            BenchDefinition bench = ConfigurationFolder.Named(workshop.Benches, "bench", arguments.GetValue(place.Bench)!);
            if (!PressureInput.TryRead(arguments.GetValue(set)!, out StatedPressure stated, out string? message))
                throw new RefusedException($"--set {message}");
            Pressure wanted = stated.ToAbsolute(BenchLimits.AtmosphereOf(bench));
            PersonRequestKind kind = wanted > present.EffectiveCeiling ? PersonRequestKind.RaiseCeiling : PersonRequestKind.LowerCeiling;
            return new PersonRecord(0, kind, 0, wanted, arguments.GetValue(who)!, arguments.GetValue(why)!);
        }));
        return place.Command;
    }

    private static SnapshotRecord? WaitForVent(Place place, ParseResult arguments)
    {
        try
        {
            using GuardClient guard = place.Connect(arguments).Guard;
            return guard.WaitFor(told => told.Bench.Depressurised && told.Bench.Phase != GuardPhase.Permitted, TimeSpan.FromSeconds(60));
        }
        catch (RefusedException)
        {
            // It vents, and has no place left for anybody to look on.
            return null;
        }
    }

    internal static Option<string> Who() => new("--who") { Description = $"your name, up to {RecordSizes.Name} bytes", Required = true };

    internal static Option<string> Why() => new("--why") { Description = $"your reason, up to {RecordSizes.Reason} bytes", Required = true };

    private static int Ask(CommandIo io, Place place, ParseResult arguments, Option<bool> json, Func<BenchSnapshot, PersonRecord> request)
    {
        (GuardClient client, string bench) = place.Connect(arguments);
        using GuardClient guard = client;
        SnapshotRecord present = guard.WaitFor(static _ => true, SnapshotTime)
            ?? throw new RefusedException($"the guard of bench {bench} tells nothing of its bench");
        PersonRecord asked = request(present.Bench);
        ReplyRecord? reply = guard.Ask(number => (asked with { Number = number }).Write);
        if (reply is not { Accepted: true })
            throw new RefusedException($"bench {bench}: refused: {reply?.Message ?? "the guard did not answer"}");
        Accepted(io, arguments.GetValue(json), bench);
        return ExitCodes.Done;
    }

    internal static void Accepted(CommandIo io, bool asJson, string bench)
    {
        if (asJson)
            Json.Write(io.Out, new { bench, accepted = true });
        else
            io.Out.WriteLine($"bench {bench}: done, and in the journal");
    }

    /// <summary>The options that lead to a guard, and the way there.</summary>
    internal sealed class Place
    {
        private readonly Option<string?> _config = Options.Config();
        private readonly Option<string?> _state = Options.State();

        public Place(string name, string what, params Option[] options)
        {
            Command = new Command(name, what) { Bench };
            foreach (Option option in options)
                Command.Add(option);
            Command.Add(_state);
            Command.Add(_config);
        }

        public Command Command { get; }

        public Option<string> Bench { get; } = new("--bench") { Description = "the bench", Required = true };

        public WorkshopConfiguration Workshop(ParseResult arguments) => ConfigurationFolder.Load(arguments.GetValue(_config));

        /// <summary>Where the bench's guard listens.</summary>
        public string Socket(ParseResult arguments)
        {
            // Given the state folder, nothing has to be read: a vent must not fail over a file with an error.
            string folder = arguments.GetValue(_state) is { } given ? Path.GetFullPath(given) : Options.StateOf(null, Workshop(arguments));
            return GuardSocket.PathOf(folder, arguments.GetValue(Bench)!);
        }

        /// <exception cref="RefusedException">No guard of that bench listens.</exception>
        public (GuardClient Guard, string Bench) Connect(ParseResult arguments)
        {
            string bench = arguments.GetValue(Bench)!;
            string path = Socket(arguments);
            GuardClient? guard = GuardClient.TryConnect(path, new HelloRecord(ClientRole.Watcher, bench));
            return (guard ?? throw new RefusedException($"no guard of bench {bench} listens on {path}"), bench);
        }
    }
}
