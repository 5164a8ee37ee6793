using System.Globalization;
using System.Text;

namespace Barostep.Daemon.Simulation.Checkers;

/// <summary>I9 and SR-04: whatever can raise pressure leaves only after it is on the disk for good, and never asks for more than the ceiling less its margin.</summary>
internal sealed class UpInWritingChecker : Checker
{
    private const string Target = "SOUR:PRES:TARG ";

    /// <summary>A set point this near to the atmosphere brings a pressure down, bar gauge.</summary>
    private const double DownBar = 0.0005;

    private double _askedBar;

    public override string Name => "I9 up in writing";

    public override void Sent(string port, ReadOnlySpan<byte> bytes)
    {
        if (port != "controller")
            return;
        string text = Encoding.ASCII.GetString(bytes);
        int at = text.IndexOf(Target, StringComparison.Ordinal);
        if (at >= 0)
        {
            int from = at + Target.Length;
            int to = text.IndexOf(' ', from);
            _askedBar = double.Parse(text.AsSpan(from, to - from), NumberStyles.Float, CultureInfo.InvariantCulture);
            CheckMargin();
            CheckWritten($"the set point {_askedBar} bar");
        }
        else if (text.Contains("SOUR:MODE CONT", StringComparison.Ordinal))
        {
            CheckWritten($"regulating to {_askedBar} bar");
        }
    }

    private void CheckMargin()
    {
        double ceiling = Math.Min((double)World.Setup.Bench.Ceiling.Value, (World.Guard.Last.EffectiveCeiling - World.Setup.Limits.Atmosphere).Pascals / 1e5);
        double margin = World.Setup.Bench.SetPointMargin!.Value.Pascals / 1e5;
        if (_askedBar > DownBar && _askedBar > ceiling - margin + 1e-6)
            Report($"the set point {_askedBar} bar gauge was sent under a ceiling of {ceiling} bar gauge");
    }

    private void CheckWritten(string what)
    {
        if (_askedBar <= DownBar)
            return;
        double asked = World.Setup.Limits.Atmosphere.Pascals + (_askedBar * 1e5);
        if (!IsWritten(World.Disk.Files[^1].Durable.Span, asked))
            Report($"{what} was sent, and what is on the disk for good holds no raise to it");
    }

    // A line that was blocked may send an older set point just before the newest: each was written before it was queued.
    private static bool IsWritten(ReadOnlySpan<byte> journal, double pascals)
    {
        for (int at = journal.LastIndexOf("\"k\":\"raise\""u8); at >= 0; at = journal.LastIndexOf("\"k\":\"raise\""u8))
        {
            ReadOnlySpan<byte> entry = journal[at..];
            entry = entry[(entry.IndexOf("\"target\":"u8) + 9)..];
            int digits = entry.IndexOfAnyExceptInRange((byte)'0', (byte)'9');
            if (Math.Abs((long.Parse(entry[..digits], CultureInfo.InvariantCulture) / 1000.0) - pascals) <= 1)
                return true;
            journal = journal[..at];
        }

        return false;
    }
}
