using Barostep.Lines;
using Barostep.Safety;

namespace Barostep.Daemon.Simulation.Faults;

/// <summary>Every fault that the world can have, once.</summary>
/// <remarks>
/// <para>Which faults are fair, and why the bench has to survive exactly those:</para>
/// <list type="bullet">
/// <item>Any ONE fault here, of any size, at any moment, for any time: nothing a single part does may take the gas past what
/// was predicted. Two sensors of different instruments, two ways out for the gas on two lines (the source's vent, the dump
/// valve), a relay that needs no living program, and a relief valve that needs nothing at all, leave one layer whole.</item>
/// <item>Any TWO or more, as long as they leave one sensor that tells the truth to a guard that lives, or a dead guard; and
/// one way out that opens by command or by the guard's silence. Then the same bound holds.</item>
/// <item>Beyond that (both sensors lie; or the fill valve cannot be shut while neither vent nor dump opens) no program can
/// help: what is expected then is that the relief valve holds the pressure, that nothing is called safe on one sensor, and
/// that nobody is told that the bench was vented when it was not. That too is checked.</item>
/// <item>A supply beyond what the bench file says, an added leak, a smaller volume: the bound is computed from the bench as
/// it then is.</item>
/// <item>Unfair, and not drawn: a relief valve that does not open (the last layer is hardware), a controller that both
/// lies and keeps its valve open (its maker's safety), damage to what is on the disk before the unsynced tail, a computer
/// that computes wrongly.</item>
/// </list>
/// </remarks>
internal static class FaultCatalogue
{
    private const long Poll = 50_000;
    private const long Stale = 300_000;
    private const long SourceStale = 1_200_000;
    private const long Frozen = 1_100_000;
    private const long Pairs = 700_000;
    private const long KeepAlive = 500_000;
    private const long Slow = 2_000_000;

    public static readonly IReadOnlyList<FaultKind> All =
    [
        .. Sensor("reference", Reach.ReferenceLies),
        .. Sensor("controller", Reach.SourceLies),
        .. Wire("reference", Reach.ReferenceBlind, Stale),
        .. Wire("controller", Reach.SourceBlind | Reach.SourceDeaf, SourceStale),
        .. Wire("dump", Reach.DumpDeaf, KeepAlive),
        .. Wire("multimeter", Reach.DeviceFails, 5_000_000),
        new("ports-swapped", "C11", Reach.ReferenceBlind | Reach.SourceBlind | Reach.SourceDeaf, Stale, ["reference controller"],
            (world, size) => world.Inject($"ports swap {size}"), world => world.Inject("ports swap reference controller")),
        new("foreign-client", "C12 K4 K5", Reach.Foreign, Slow,
            ["SOUR:PRES:TARG 2.2 BAR", "SOUR:PRES:LIM 0.2 BAR", "SOUR:PRES:LIM 19 BAR", "SOUR:MODE HOLD", "SOUR:MODE VENT", "UNIT:PRES PSI", "SOUR:PRES:RATE 3 BAR"],
            (world, size) => world.Simulated.Port("controller").HostWrite(System.Text.Encoding.ASCII.GetBytes(size + "\n")), Nothing),
        Lasting("multimeter-open-loop", "S2", Reach.DeviceFails, Slow, "multimeter open-loop on", "multimeter open-loop off"),

        Plant("fill-stuck-open", "A1 A3", Reach.GasMoves | Reach.FillOpen, Slow, "fill stuck", ["1", "0.3", "0.05", "0.01"]),
        Plant("fill-stuck-shut", "A2", Reach.GasMoves, Slow, "fill stuck", ["0"]),
        Plant("dump-stuck", "A4 A5 A6", Reach.DumpDeaf, KeepAlive, "dump stuck", ["0", "0.1", "1"]),
        Plant("vent-stuck", "A4 A5", Reach.VentShut | Reach.GasMoves, Slow, "vent stuck", ["0", "0.05", "0.3"]),
        Plant("supply", "A7 A8", Reach.GasMoves, Slow, "supply", ["0 bar gauge", "21 bar gauge", "1.5 bar gauge", "60 bar gauge"]),
        Plant("leak", "A9 A10 A12", Reach.GasMoves, Slow, "leak", ["1e-12", "2e-11", "1e-9", "1e-7"]),
        Plant("volume", "A11", Reach.GasMoves, Slow, "volume", ["0.14", "0.1", "0.6"]),
        Plant("atmosphere", "H06", Reach.GasMoves, Slow, "atmosphere", ["1000 mbar absolute", "1020 mbar absolute"]),
        Plant("ambient", "A14", Reach.WallMoves, Slow, "ambient", ["5", "45"]),

        Instrument("controller-restart", "K1", Reach.SourceDeaf | Reach.SourceBlind, "controller restart"),
        Instrument("reference-restart", "K1", Reach.ReferenceBlind, "reference restart"),
        Instrument("multimeter-restart", "K1", Reach.DeviceFails, "multimeter restart"),
        Instrument("dump-restart", "K1 A6", Reach.GasMoves, "dump restart"),
        Lasting("controller-ignores", "K2 K3", Reach.SourceDeaf, Slow, "controller ignore on", "controller ignore off"),
        Instrument("controller-limit-lost", "K5", Reach.None, "controller reset-limit"),
        Lasting("reference-exchanged", "C10", Reach.None, Slow, "reference serial SI-99999", "reference serial SI-02077"),
        Lasting("controller-exchanged", "C10", Reach.SourceDeaf, Slow, "controller serial SC-99999", "controller serial SC-01042"),

        new("guard-killed", "H2 H10", Reach.GuardGone, KeepAlive, ["now"], static (world, _) => world.KillGuard(), StartGuard),
        new("daemon-killed", "H1", Reach.DaemonGone, Stale, ["now"], static (world, _) => world.Sequencer.Kill(), StartDaemon),
        new("guard-paused", "H3", Reach.GuardGone, Stale, ["now"], static (world, _) => world.Guard.Pause(long.MaxValue / 2), static world => world.Guard.Resume()),
        new("guard-hangs", "H3", Reach.GuardGone, Stale, ["now"], static (world, _) => world.Guard.Hang(long.MaxValue / 2), static world => world.Guard.Resume()),
        new("daemon-paused", "H4", Reach.DaemonGone, Stale, ["now"], static (world, _) => world.Sequencer.Pause(long.MaxValue / 2), static world => world.Sequencer.Resume()),
        new("both-paused", "H5", Reach.GuardGone | Reach.DaemonGone, Stale, ["now"], PauseBoth, ResumeBoth),
        new("suspended", "H12", Reach.GuardGone | Reach.DaemonGone | Reach.ClockMoves, Stale, ["now"], PauseBoth, Wake),
        new("power-lost", "H6 H10", Reach.GuardGone | Reach.DaemonGone | Reach.SourceDeaf | Reach.SourceBlind | Reach.ReferenceBlind, Slow,
            ["computer", "everything"], LosePower, PowerReturns),
        new("disk-full", "H7", Reach.DiskFails, Slow, ["now"], static (world, _) => world.Disk.IsFull = true, static world => world.Disk.IsFull = false),
        new("disk-low", "H7", Reach.DiskFails, Slow, ["now"], static (world, _) => world.Disk.IsLow = true, static world => world.Disk.IsLow = false),
        new("flush-fails", "H8", Reach.DiskFails, Slow, ["now"], static (world, _) => world.Disk.FlushFails = true, static world => world.Disk.FlushFails = false),
        new("disk-slow", "H9", Reach.DiskFails, 1_000_000, ["20000", "300000", "900000", "10000000"],
            static (world, size) => world.Disk.FlushMicros = long.Parse(size, System.Globalization.CultureInfo.InvariantCulture),
            static world => world.Disk.FlushMicros = 1_500),
        new("wall-clock-stepped", "H11", Reach.WallMoves, Slow, ["3600", "-3600", "315360000", "-1770000000", "0.6"],
            static (world, size) => world.Clock.StepWall((long)(double.Parse(size, System.Globalization.CultureInfo.InvariantCulture) * 1e6)), Nothing),

        new("second-client", "U1", Reach.PersonActs, Slow, ["now"], static (world, _) => world.People.AskForSecondRun(), Nothing),
        new("stop-pressed", "U2", Reach.PersonActs, Slow, ["at the daemon", "at the guard"], static (world, size) => Press(world, size, atOnce: false), Nothing),
        new("dump-pressed", "U2", Reach.PersonActs, Slow, ["at the daemon", "at the guard"], static (world, size) => Press(world, size, atOnce: true), Nothing),
        new("ceiling-lowered", "U3", Reach.PersonActs, Slow, ["2.0", "1.2", "0.3"],
            static (world, size) => AskCeiling(world, PersonRequestKind.LowerCeiling, size), static world => AskCeiling(world, PersonRequestKind.RaiseCeiling, "4")),
        new("ceiling-raised", "U3", Reach.PersonActs, Slow, ["2.3", "4", "30"],
            static (world, size) => AskCeiling(world, PersonRequestKind.RaiseCeiling, size), Nothing),
        new("acknowledge-storm", "U4", Reach.PersonActs, Slow, ["now"], static (world, _) => world.People.StormUntil(world.NowMicros + 3_000_000), Nothing),
    ];

    /// <summary>A kind by its name.</summary>
    /// <exception cref="RefusedException">There is none.</exception>
    public static FaultKind Named(string name) => All.FirstOrDefault(one => one.Name == name)
        ?? throw new RefusedException($"there is no fault '{name}': write one of {string.Join(", ", All.Select(one => one.Name))}");

    private static IEnumerable<FaultKind> Sensor(string port, Reach lies)
    {
        yield return Lasting($"{port}-frozen", "S1", lies, Frozen, $"{port} sensor freeze on", $"{port} sensor freeze off");
        yield return Sized($"{port}-gain", "S2 S5", lies, Pairs, $"{port} sensor gain", ["0", "0.5", "0.9", "1.1"], "1");
        yield return Sized($"{port}-span", "S5", lies, Pairs, $"{port} sensor gain", ["0.99", "1.01"], "1");
        yield return Sized($"{port}-drifts", "S3 S4", lies, Slow, $"{port} sensor drift", ["200 Pa", "-200 Pa", "5000 Pa", "-5000 Pa"], "0 Pa");
        yield return Sized($"{port}-offset", "S5", lies, Pairs, $"{port} sensor offset", ["-0.005 bar", "0.02 bar", "0.05 bar", "-0.05 bar", "1 bar", "-1 bar"], "0 Pa");
        yield return Sized($"{port}-noise", "S6", lies, Pairs, $"{port} sensor noise", ["100", "1000"], "1");
        yield return Sized($"{port}-lag", "S7", lies, Pairs, $"{port} sensor lag", ["10", "40"], "1");
        yield return Lasting($"{port}-over-range", "S8", lies, Poll, $"{port} sensor overrange on", $"{port} sensor overrange off");
        yield return Sized($"{port}-unit", "S9 S10", lies, Slow, $"{port} unit",
            ["mbar", "Pa", "kPa", "MPa", "psi", "bar absolute"], "bar gauge");
    }

    private static IEnumerable<FaultKind> Wire(string port, Reach reach, long limit)
    {
        yield return Sized($"{port}-silence", "C1", reach, limit, $"{port} silence", ["on", "1"], "off");
        yield return Sized($"{port}-garbled", "C2", reach, limit, $"{port} garble", ["on", "1"], "off");
        yield return Sized($"{port}-truncated", "C3", reach, limit, $"{port} truncate", ["on", "1"], "off");
        yield return Sized($"{port}-merged", "C4", reach, limit, $"{port} merge", ["on", "1"], "off");
        yield return Sized($"{port}-late", "C5", reach, limit, $"{port} late", ["on", "1"], "off");
        yield return Sized($"{port}-duplicated", "C6", reach, limit, $"{port} duplicate", ["on", "1"], "off");
        yield return Lasting($"{port}-echo", "C7", reach, limit, $"{port} echo on", $"{port} echo off");
        yield return Lasting($"{port}-wrong-speed", "C8", reach, limit, $"{port} wrong-speed on", $"{port} wrong-speed off");
        yield return Lasting($"{port}-disconnected", "C9 C10", reach, limit, $"{port} disconnect", $"{port} reconnect");
        yield return Sized($"{port}-delay", "K6", reach, limit, $"{port} delay", ["40", "130", "400"], "0");
        yield return Sized($"{port}-garbage", "C12", reach, limit, $"{port} garbage", ["20", "600"], "0");
    }

    private static FaultKind Lasting(string name, string codes, Reach reach, long limit, string begin, string end) =>
        new(name, codes, reach, limit, ["on"], (world, _) => world.Inject(begin), world => world.Inject(end));

    private static FaultKind Sized(string name, string codes, Reach reach, long limit, string line, IReadOnlyList<string> sizes, string off) =>
        new(name, codes, reach, limit, sizes, (world, size) => world.Inject($"{line} {size}"), world => world.Inject($"{line} {off}"));

    private static FaultKind Plant(string name, string codes, Reach reach, long limit, string line, IReadOnlyList<string> sizes) =>
        Sized(name, codes, reach, limit, $"plant {line}", sizes, "off");

    private static FaultKind Instrument(string name, string codes, Reach reach, string begin) =>
        new(name, codes, reach, Slow, ["now"], (world, _) => world.Inject(begin), Nothing);

    private static void Nothing(World world)
    {
    }

    private static void StartGuard(World world)
    {
        if (!world.Guard.IsUp)
            world.Guard.Start();
    }

    private static void StartDaemon(World world)
    {
        if (!world.Sequencer.IsUp)
            world.Sequencer.Start();
    }

    private static void PauseBoth(World world, string size)
    {
        world.Guard.Pause(long.MaxValue / 2);
        world.Sequencer.Pause(long.MaxValue / 2);
        world.PausedMicros = world.NowMicros;
    }

    private static void ResumeBoth(World world)
    {
        world.Guard.Resume();
        world.Sequencer.Resume();
    }

    private static void Wake(World world)
    {
        world.Clock.Suspend(world.NowMicros - world.PausedMicros);
        ResumeBoth(world);
    }

    private static void LosePower(World world, string size)
    {
        world.Sequencer.Kill();
        if (world.Guard.IsUp)
        {
            world.Guard.Kill();
            world.Disk.LosePower();
        }

        if (size != "everything")
            return;
        foreach (string port in new[] { "controller", "reference", "multimeter", "dump" })
            world.Inject($"{port} restart");
    }

    private static void PowerReturns(World world)
    {
        if (world.Guard.IsUp || world.Sequencer.IsUp)
            return;
        world.Clock.Boot(world.NowMicros);
        StartGuard(world);
        StartDaemon(world);
    }

    private static void Press(World world, string where, bool atOnce)
    {
        if (where == "at the daemon")
            world.Sequencer.Stop(atOnce);
        else
            world.AskVent(atOnce);
    }

    private static void AskCeiling(World world, PersonRequestKind kind, string barGauge)
    {
        double pascals = double.Parse(barGauge, System.Globalization.CultureInfo.InvariantCulture) * 1e5;
        world.People.Ask(kind, 0, world.Setup.Limits.Atmosphere + PressureDifference.FromPascals(pascals));
    }
}
