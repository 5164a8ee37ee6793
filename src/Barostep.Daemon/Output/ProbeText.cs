using System.Globalization;
using Barostep.Configuration.Files;
using Barostep.Daemon.Commands;
using Barostep.Instruments.Probing;

namespace Barostep.Daemon.Output;

/// <summary>What was found out about an instrument, for people and for programs.</summary>
internal static class ProbeText
{
    public static void Write(TextWriter writer, ProbedInstrument probed)
    {
        InstrumentProbe probe = probed.Probe;
        writer.WriteLine($"{probe.Driver.Fitted.Definition.Title} on {probe.Driver.Fitted.Port}");
        writer.WriteLine();
        foreach (var (capability, entry) in probed.FirstTries)
            writer.WriteLine(string.Create(CultureInfo.InvariantCulture, $"  {Millis(entry.AtMicros),9} ms  {CapabilityNames.NameOf(capability),-18} {(entry.FromInstrument ? '<' : '>')} {Printable(entry)}"));
        writer.WriteLine();
        foreach (ProbeFinding finding in probe.Findings)
            writer.WriteLine($"  {Word(finding.Result),-9} {CapabilityNames.NameOf(finding.Capability),-18} {Times(finding),-34} {finding.Told}");
        writer.WriteLine();
        writer.WriteLine(probe.Problem.Length > 0 ? probe.Problem
            : string.Create(CultureInfo.InvariantCulture, $"{probe.Driver.Exchanges} messages sent, {probe.Driver.TimeOuts} without an answer in time, {probe.Driver.Garbage} answers not understood"));
    }

    public static object Json(ProbedInstrument probed) => new
    {
        definition = probed.Transcript.Definition,
        port = probed.Probe.Driver.Fitted.Port,
        identity = probed.Probe.Driver.IdentityText,
        problem = probed.Probe.Problem,
        messages = probed.Probe.Driver.Exchanges,
        timeOuts = probed.Probe.Driver.TimeOuts,
        garbage = probed.Probe.Driver.Garbage,
        findings = probed.Probe.Findings.Select(finding => new
        {
            capability = CapabilityNames.NameOf(finding.Capability),
            result = Word(finding.Result),
            told = finding.Told,
            raw = finding.Raw,
            tookMicros = finding.TookMicros,
        }),
    };

    private static string Printable(TranscriptEntry entry) => new Barostep.Instruments.ReplyText(entry.Bytes).ToString();

    private static string Word(ProbeResult result) => result switch
    {
        ProbeResult.Worked => "worked",
        ProbeResult.Failed => "FAILED",
        ProbeResult.LeftOut => "left out",
        _ => throw new ArgumentOutOfRangeException(nameof(result)),
    };

    private static string Times(ProbeFinding finding)
    {
        if (finding.TookMicros.Count == 0)
            return string.Empty;
        long[] sorted = [.. finding.TookMicros.Order()];
        string median = Millis(sorted[sorted.Length / 2]);
        return sorted.Length == 1 ? $"{median} ms" : $"{median} ms ({Millis(sorted[0])} to {Millis(sorted[^1])}, {sorted.Length} times)";
    }

    private static string Millis(long micros) => (micros / 1000.0).ToString("0.0", CultureInfo.InvariantCulture);
}
