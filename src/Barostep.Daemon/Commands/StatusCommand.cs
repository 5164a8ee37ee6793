using System.CommandLine;
using System.Globalization;
using System.Text;
using System.Text.Json;
using Barostep.Configuration;
using Barostep.Control;
using Barostep.Lines.GuardLine;
using Barostep.Safety;

namespace Barostep.Daemon.Commands;

/// <summary><c>status</c>: what the guards of the benches see and have decided.</summary>
internal static class StatusCommand
{
    private static readonly TimeSpan SnapshotTime = TimeSpan.FromSeconds(2);

    public static Command Build(CommandIo io)
    {
        Option<string?> bench = new("--bench") { Description = "one bench; without it every bench of the configuration" };
        Option<string?> config = Options.Config();
        Option<string?> state = Options.State();
        Option<bool> json = Options.Json();
        var command = new Command("status", "Tells what the guards of the benches see and have decided.") { bench, state, config, json };
        command.SetAction(arguments =>
        {
            WorkshopConfiguration workshop = ConfigurationFolder.Load(arguments.GetValue(config));
            string folder = Options.StateOf(arguments.GetValue(state), workshop);
            IEnumerable<BenchDefinition> benches = arguments.GetValue(bench) is { } name
                ? [ConfigurationFolder.Named(workshop.Benches, "bench", name)]
                : workshop.Benches.Values.OrderBy(one => one.Name, StringComparer.Ordinal);
            List<(BenchDefinition Bench, SnapshotRecord? Told)> told = [.. benches.Select(one => (one, Look(folder, one.Name)))];
            if (arguments.GetValue(json))
                WriteJson(io.Out, told);
            else
                told.ForEach(one => WriteText(io.Out, one.Bench, one.Told));
            return told.Exists(one => one.Told is null) && arguments.GetValue(bench) is not null ? ExitCodes.InstrumentFailure : ExitCodes.Done;
        });
        return command;
    }

    private static SnapshotRecord? Look(string folder, string bench)
    {
        using GuardClient? guard = GuardClient.TryConnect(GuardSocket.PathOf(folder, bench), new HelloRecord(ClientRole.Watcher, bench));
        return guard?.WaitFor(static _ => true, SnapshotTime);
    }

    private static void WriteText(TextWriter output, BenchDefinition bench, SnapshotRecord? told)
    {
        if (told is not { } seen)
        {
            output.WriteLine($"{bench.Name}: no guard listens");
            return;
        }

        BenchSnapshot now = seen.Bench;
        string pressure = now.Reference.IsGood ? InBar(now.Reference.Value, bench) : "no reading";
        string vented = now.Depressurised ? ", depressurised by its sensors" : string.Empty;
        output.WriteLine($"{bench.Name}: {now.Phase}, {pressure}{vented}, ceiling {InBar(now.EffectiveCeiling, bench)}, causes {now.Causes}");
        if (now.FirstCause != Cause.None)
            output.WriteLine($"  trip {now.TripNumber}: {CausePolicy.Of(now.FirstCause).What} {CausePolicy.Of(now.FirstCause).Advice}");
        WriteAlarms(output, now.Alarms);
        if (seen.Guard.IsLateOften)
            output.WriteLine("  more than three of the guard's cycles were later than 20 ms within the last hour: the machine is too busy");
        if (now.LineFault is { } fault)
            output.WriteLine($"  {fault}");
    }

    /// <summary>Every alarm that is not as it should be, the one to look at first.</summary>
    private static void WriteAlarms(TextWriter output, in AlarmSummary alarms)
    {
        if (alarms.Flood)
            output.WriteLine("  more than ten alarms within ten minutes: look at the first cause and at the bench, not at the list");
        foreach ((Cause cause, AlarmState state) in Alarms(alarms))
        {
            string follows = cause == alarms.First ? "first" : alarms.Consequences.Contains(cause) ? $"follows {alarms.First}" : "alone";
            output.WriteLine($"  alarm {cause}: {Words(state)}, {follows}");
        }
    }

    private static List<(Cause Cause, AlarmState State)> Alarms(AlarmSummary alarms) =>
    [
        .. CausePolicy.All.Select(one => (one.Cause, State: alarms.StateOf(one.Cause)))
            .Where(one => one.State != AlarmState.Normal)
            .OrderBy(one => one.Cause == alarms.First ? 0 : 1),
    ];

    private static string Words(AlarmState state) => state switch
    {
        AlarmState.Normal => "normal",
        AlarmState.ActiveUnacknowledged => "active, unacknowledged",
        AlarmState.ActiveAcknowledged => "active, acknowledged",
        AlarmState.ClearedUnacknowledged => "cleared, unacknowledged",
        AlarmState.Shelved => "shelved",
        AlarmState.OutOfService => "out of service",
        _ => throw new ArgumentOutOfRangeException(nameof(state), state, "no such state"),
    };

    private static string InBar(Pressure pressure, BenchDefinition bench)
    {
        double bar = pressure.In(PressureUnit.Bar, PressureReference.Gauge, BenchLimits.AtmosphereOf(bench));
        return string.Create(CultureInfo.InvariantCulture, $"{bar:F4} bar gauge");
    }

    private static void WriteJson(TextWriter output, List<(BenchDefinition Bench, SnapshotRecord? Told)> told)
    {
        using var buffer = new MemoryStream();
        using (var writer = new Utf8JsonWriter(buffer, new JsonWriterOptions { Indented = true }))
        {
            writer.WriteStartArray();
            foreach ((BenchDefinition bench, SnapshotRecord? seen) in told)
                WriteBench(writer, bench, seen);
            writer.WriteEndArray();
        }

        output.WriteLine(Encoding.UTF8.GetString(buffer.ToArray()));
    }

    private static void WriteBench(Utf8JsonWriter writer, BenchDefinition bench, SnapshotRecord? told)
    {
        writer.WriteStartObject();
        writer.WriteString("bench", bench.Name);
        writer.WriteBoolean("guarded", told is not null);
        if (told is { } seen)
        {
            BenchSnapshot now = seen.Bench;
            writer.WriteString("phase", now.Phase.ToString());
            writer.WriteString("verdict", now.Verdict.ToString());
            writer.WriteString("causes", now.Causes.ToString());
            writer.WriteString("first_cause", now.FirstCause.ToString());
            writer.WriteNumber("trip_number", now.TripNumber);
            writer.WriteBoolean("depressurised", now.Depressurised);
            if (now.Reference.IsGood)
                writer.WriteNumber("reference_pascals_absolute", now.Reference.Value.Pascals);
            writer.WriteNumber("ceiling_pascals_absolute", now.EffectiveCeiling.Pascals);
            writer.WriteNumber("tick", now.Tick);
            writer.WriteNumber("keep_alives", seen.Guard.KeepAlives);
            writer.WriteNumber("journal_file", seen.Guard.JournalFile);
            writer.WriteNumber("worst_lateness_micros", seen.Guard.WorstLatenessMicros);
            writer.WriteNumber("late_cycles", seen.Guard.LateCycles);
            writer.WriteBoolean("late_often", seen.Guard.IsLateOften);
            writer.WriteString("dump_test", now.DumpTest.ToString());
            writer.WriteString("line_fault", now.LineFault);
            writer.WriteBoolean("alarm_flood", now.Alarms.Flood);
            writer.WriteStartArray("alarms");
            foreach ((Cause cause, AlarmState state) in Alarms(now.Alarms))
            {
                writer.WriteStartObject();
                writer.WriteString("cause", cause.ToString());
                writer.WriteString("state", state.ToString());
                writer.WriteBoolean("first", cause == now.Alarms.First);
                writer.WriteBoolean("consequence", now.Alarms.Consequences.Contains(cause));
                writer.WriteEndObject();
            }

            writer.WriteEndArray();
        }

        writer.WriteEndObject();
    }
}
