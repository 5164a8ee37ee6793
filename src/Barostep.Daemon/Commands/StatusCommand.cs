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
        if (now.LineFault is { } fault)
            output.WriteLine($"  {fault}");
    }

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
            writer.WriteString("line_fault", now.LineFault);
        }

        writer.WriteEndObject();
    }
}
