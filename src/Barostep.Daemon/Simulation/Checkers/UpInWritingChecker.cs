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
        double? written = LastRaise(World.Disk.Files[^1].Durable.Span);
        double asked = World.Setup.Limits.Atmosphere.Pascals + (_askedBar * 1e5);
        if (written is not { } pascals || Math.Abs(pascals - asked) > 1)
            Report($"{what} was sent, and what is on the disk for good holds {(written is null ? "no raise" : $"a raise to {written:0} Pa absolute")}");
    }

    private static double? LastRaise(ReadOnlySpan<byte> journal)
    {
        int at = journal.LastIndexOf("\"k\":\"raise\""u8);
        if (at < 0)
            return null;
        ReadOnlySpan<byte> rest = journal[at..];
        int from = rest.IndexOf("\"target\":"u8);
        rest = rest[(from + 9)..];
        int to = rest.IndexOfAnyExceptInRange((byte)'0', (byte)'9');
        return long.Parse(rest[..to], CultureInfo.InvariantCulture) / 1000.0;
    }
}
