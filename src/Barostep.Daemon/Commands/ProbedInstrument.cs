using System.Net.Sockets;
using Barostep.Configuration;
using Barostep.Instruments;
using Barostep.Instruments.Probing;
using Barostep.Lines;

namespace Barostep.Daemon.Commands;

/// <summary>An instrument that was tried in real time, on its port.</summary>
/// <param name="Probe">What was found.</param>
/// <param name="Transcript">The whole exchange.</param>
/// <param name="FirstTries">What went over the line in the first try of each capability.</param>
internal sealed record ProbedInstrument(
    InstrumentProbe Probe, Transcript Transcript, IReadOnlyList<(Capability Capability, TranscriptEntry Entry)> FirstTries)
{
    public bool Worked => Probe.Problem.Length == 0 && Probe.Findings.All(finding => finding.Result != ProbeResult.Failed);

    /// <summary>Opens the port, tries everything, and closes it.</summary>
    /// <exception cref="RefusedException">The port cannot be opened.</exception>
    public static async Task<ProbedInstrument> TryAsync(FittedInstrument fitted, int repeats, CancellationToken cancel)
    {
        if (!LineAddress.TryParse(fitted.Port, out LineAddress address, out string error))
            throw new RefusedException(error);
        using var wake = new SemaphoreSlim(0);
        StreamLine line;
        try
        {
            line = await address.OpenAsync(fitted, () => wake.Release(), cancel);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or SocketException or ArgumentException)
        {
            throw new RefusedException(PortTrouble.Explain(fitted.Port, e));
        }

        try
        {
            return await TryAsync(fitted, repeats, line, wake, cancel);
        }
        finally
        {
            line.Dispose();
            await line.Disposal;
        }
    }

    private static async Task<ProbedInstrument> TryAsync(
        FittedInstrument fitted, int repeats, StreamLine line, SemaphoreSlim wake, CancellationToken cancel)
    {
        var probe = new InstrumentProbe(fitted, repeats);
        TimeProvider time = TimeProvider.System;
        var recording = new RecordingLine(line, time.NowMicros());
        List<(Capability, TranscriptEntry)> firstTries = [];
        while (!probe.Done)
        {
            recording.NowMicros = time.NowMicros();
            (Capability capability, int attempt) = probe.Now;
            int before = recording.Entries.Count;
            long next = probe.Advance(recording.NowMicros, recording);
            if (attempt == 0)
                firstTries.AddRange(recording.Entries.Skip(before).Select(entry => (capability, entry)));
            long micros = next == long.MaxValue ? 1_000_000 : next - time.NowMicros();
            if (micros > 0 && !probe.Done)
                await wake.WaitAsync(TimeSpan.FromMicroseconds(Math.Min(micros, 1_000_000)), cancel);
        }

        var transcript = new Transcript(fitted.Definition.Name, repeats, [.. recording.Entries], [.. probe.Findings.Select(Transcript.Line)]);
        return new ProbedInstrument(probe, transcript, firstTries);
    }
}
