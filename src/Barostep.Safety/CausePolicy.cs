using System.Collections.Immutable;
using System.Globalization;
using System.Text;

namespace Barostep.Safety;

/// <summary>What ends a cause.</summary>
public enum Clearing : byte
{
    /// <summary>It ends in the cycle in which it is no longer seen (a hold: after its least time).</summary>
    WhenGone,

    /// <summary>It stays until it has gone, the bench is verified depressurised, and nothing asks for pressure any more.</summary>
    WhenVented,

    /// <summary>It stays until it has gone, the bench is verified depressurised, and a person names the trip (SR-26).</summary>
    ByAcknowledgement,
}

/// <summary>What one cause leads to, how it ends, and what to tell people.</summary>
/// <param name="Cause">The cause.</param>
/// <param name="Verdict">What it leads to while the bench is or may be pressurised.</param>
/// <param name="AtRest">What it leads to in <see cref="GuardPhase.Boot"/> and <see cref="GuardPhase.Safe"/>, where nothing is energised and the dump valve is open already.</param>
/// <param name="Clearing">What ends it, once it has led to its full verdict.</param>
/// <param name="What">One sentence: what happened.</param>
/// <param name="Advice">One sentence: what to do.</param>
/// <param name="Requirements">The safety requirements that it serves.</param>
public sealed record CausePolicy(
    Cause Cause,
    Verdict Verdict,
    Verdict AtRest,
    Clearing Clearing,
    string What,
    string Advice,
    string Requirements)
{
    /// <summary>Every cause once, in the order of <see cref="Safety.Cause"/>, which is the order of first-out.</summary>
    public static readonly ImmutableArray<CausePolicy> All =
    [
        Latching(Cause.OverCeiling, Verdict.Trip, "A sensor reads at or above the ceiling, or over its own range.", "Find out why before anything else: regulator, set point, or a stuck valve.", "SR-03"),
        Latching(Cause.UnderFloor, Verdict.Trip, "A sensor reads at or below the floor.", "Check the vacuum side and what the device stands.", "SR-03"),
        Latching(Cause.StopInputOpen, Verdict.Drop, "An emergency stop, pressure switch or cover switch is open.", "Go to the bench; close the switch only when you know who opened it.", "SR-34"),
        Latching(Cause.OperatorDump, Verdict.Trip, "Somebody asked to dump at once.", "Ask them why, then acknowledge.", "SR-35, SR-45"),
        Latching(Cause.RiseWhileIsolated, Verdict.Drop, "The pressure rose although the supply is shut.", "A fill valve leaks or a pump runs on: shut the supply by hand.", "SR-19"),
        Latching(Cause.RepressurisedWhileSafe, Verdict.Drop, "The pressure left the band around atmosphere after the bench was verified depressurised.", "Shut the supply by hand; look at a gauge before touching a fitting.", "SR-30"),
        Latching(Cause.VentFailed, Verdict.Drop, "The pressure did not fall as a vent must: pressure may be trapped.", "Do not open a fitting; use the manual vent and look at a gauge.", "SR-31"),
        Latching(Cause.RateTooHigh, Verdict.Trip, "The pressure changes faster than 1.2 times the allowed rate.", "Check the volume, the restrictor, and for an opened fitting or a burst hose.", "SR-20"),
        Latching(Cause.VolumeTooSmall, Verdict.Trip, "The pressure rises faster than a fill that is wide open could make it with the smallest volume of the bench file.", "Find what shut part of the volume off, or measure volume and restrictor again.", "SR-20"),
        Latching(Cause.WrongWay, Verdict.Trip, "The pressure moves away from its set point.", "Check for a leak, a burst hose or swapped instruments.", "SR-19"),
        Latching(Cause.InstrumentRestarted, Verdict.Trip, "An instrument has restarted: its limits, unit and mode may be at their defaults.", "Check its power; the next start sets it up again.", "SR-05, SR-06", Verdict.Warn),
        Latching(Cause.UnitChanged, Verdict.Trip, "An instrument no longer tells the unit or the reference (gauge or absolute) that was set.", "Leave its front panel alone during a run; the next start sets the unit again.", "SR-06", Verdict.Warn),
        Latching(Cause.IdentityChanged, Verdict.Trip, "What answers is not the instrument that was identified.", "Check the cables and the serial numbers.", "SR-16", Verdict.Warn),
        Latching(Cause.UpperLimitMismatch, Verdict.Trip, "The source's own upper limit is not what was set.", "Find out who changed it; the next start sets it again.", "SR-05", Verdict.Warn),
        Latching(Cause.ReadBackMismatch, Verdict.Trip, "The source's set point is not the one that was sent.", "Look for a second client on its line or somebody at its front panel.", "SR-04"),
        Latching(Cause.SensorsDisagree, Verdict.Trip, "The two sensors differ by more than the tolerance.", "Check units, gauge or absolute, and the zero of both.", "SR-08", Verdict.Warn),
        Latching(Cause.ReferenceLineLost, Verdict.Trip, "The line to the reference is gone.", "Check its cable and adapter.", "SR-16", Verdict.Warn),
        Latching(Cause.SourceLineLost, Verdict.Drop, "The line to the source is gone: it cannot be told to vent.", "Check its cable and adapter.", "SR-16", Verdict.Warn),
        Latching(Cause.ReferenceStale, Verdict.Trip, "The reference has not given a good reading for too long.", "Check its cable, speed and what else uses its line.", "SR-15", Verdict.Warn),
        Latching(Cause.SourceStale, Verdict.Drop, "The source has not given a good reading for too long: it may not hear a vent either.", "Check its cable, speed and what else uses its line.", "SR-15", Verdict.Warn),
        Latching(Cause.VentNotAcknowledged, Verdict.Drop, "The source did not acknowledge a vent or an isolation in time, or regulates in spite of it.", "Check its line; the dump valve has been opened.", "SR-23"),
        Latching(Cause.RelayStuckShut, Verdict.Drop, "The dump valve stays shut although its keep-alive has stopped.", "Vent by hand and replace the relay or the valve.", "SR-34"),
        Latching(Cause.FrozenWhileMoving, Verdict.Trip, "A sensor repeats the very same characters while the pressure should change.", "Restart the instrument and compare it with another.", "SR-18"),
        Latching(Cause.TimeFault, Verdict.Trip, "The guard's clock stood still, jumped, or the guard did not run for too long.", "Check the load of the machine and that it cannot suspend.", "SR-12, SR-15", Verdict.Warn),
        Latching(Cause.InternalFault, Verdict.Trip, "The guard was given cycles out of order, or a value that cannot be.", "This is a fault of the program: keep the journal and report it.", "SR-12"),
        Latching(Cause.UncleanStart, Verdict.Trip, "The program did not end cleanly the last time.", "Read the journal's end, look at the bench, then acknowledge.", "SR-24, SR-32"),

        Ending(Cause.OperatorStop, "Somebody asked to stop.", "The bench vents; start a new run when ready.", "SR-35, SR-45"),
        Ending(Cause.IntentLapsed, "The sequencer has stopped asking.", "The bench vents; look into the log for why it stopped.", "SR-12, SR-36"),
        Ending(Cause.RunGivenUp, "The run gave up: something did not settle or did not finish in time.", "Read the run's record for which.", "SR-10, SR-11"),
        Ending(Cause.NoResponse, "The pressure does not follow the set point.", "Check the supply, the source's mode and for a leak.", "SR-19"),
        Ending(Cause.CommandNotAcknowledged, "The source did not acknowledge a command in time.", "Check its line and its error queue.", "SR-23"),
        Ending(Cause.SourceLeftControl, "The source is not regulating although it was told to.", "Leave its front panel alone during a run.", "SR-06"),
        Ending(Cause.SensorFrozen, "A sensor repeats the very same characters.", "Restart the instrument; if its resolution is coarser than its noise, switch the test off for it.", "SR-18"),
        Ending(Cause.RelayNotShut, "The dump valve does not shut although its keep-alive is sent.", "Check the relay's supply and the stop circuit.", "SR-34"),
        Ending(Cause.SelfTestFailed, "The dump valve did not take the pressure away in its test before the run.", "Look at the dump valve, its relay and its exhaust; each run tests it anew.", "SR-34"),
        Latching(Cause.JournalFault, Verdict.Abort, "The journal cannot be written.", "Make room or mend the disk, then start the guard anew: a new journal begins with it.", "SR-40, SR-41"),
        Ending(Cause.DiskLow, "There is not enough free space for the journal.", "Free some space.", "SR-42"),
        Ending(Cause.HeldTooOften, "The same set point had to be held too often.", "Lower the rate or the set point.", "SR-03"),

        Passing(Cause.HeadingOverCeiling, Verdict.Hold, "At its present rate the pressure would reach the ceiling within the reaction time.", "Lower the rate near the ceiling.", "SR-03"),
        Passing(Cause.HeadingUnderFloor, Verdict.Hold, "At its present rate the pressure would reach the floor within the reaction time.", "Lower the rate near the floor.", "SR-03"),
        Passing(Cause.ProposalOverCeiling, Verdict.Hold, "A set point above the ceiling less its margin was asked for and refused.", "Use a procedure or a device that fits the bench.", "SR-04"),
        Passing(Cause.ProposalUnderFloor, Verdict.Hold, "A set point at or below the floor was asked for and refused.", "Use a procedure or a device that fits the bench.", "SR-04"),
        Passing(Cause.SelfTestDue, Verdict.Hold, "More pressure was asked for than a dump valve may see that was not tested before this run.", "Begin a run: the guard tests the valve by itself.", "SR-34"),
        Passing(Cause.ProposalVoid, Verdict.Hold, "An intent without a usable rate, or older than one already seen, was refused.", "This is a fault of the sequencer: keep the journal and report it.", "SR-12"),
        Passing(Cause.ReferenceLate, Verdict.Hold, "The reference's reading is late.", "Check its line if this happens often.", "SR-12, SR-15"),
        Passing(Cause.SourceLate, Verdict.Hold, "The source's reading is late.", "Check its line if this happens often.", "SR-12, SR-15"),

        Passing(Cause.VentSlow, Verdict.Warn, "The pressure falls more slowly than a vent should.", "Check the exhaust and its silencer.", "SR-31"),
        Passing(Cause.WallClockStepped, Verdict.Warn, "The wall clock was stepped.", "Times in the record before and after the step differ; the decisions do not depend on it.", "SR-50"),
        Passing(Cause.RequestRefused, Verdict.Warn, "A request was refused: it named another trip, the cause is still there, the bench is not verified depressurised, or it needs the role safety.", "Wait until the bench is depressurised, then ask again; after three trips in an hour, and to raise a ceiling, somebody with the role safety must.", "SR-26, SR-45"),
    ];

    /// <summary>The causes that only an acknowledgement ends.</summary>
    public static readonly CauseSet Acknowledged = Where(Clearing.ByAcknowledgement);

    /// <summary>The causes that end once the bench is vented.</summary>
    public static readonly CauseSet EndedByVenting = Where(Clearing.WhenVented);

    private static readonly CauseSet[] ByVerdict = Masks(one => one.Verdict);
    private static readonly CauseSet[] ByVerdictAtRest = Masks(one => one.AtRest);

    /// <summary>Every cause that stands in the way of making pressure.</summary>
    public static readonly CauseSet Blocking = ByVerdict[(int)Verdict.Hold] | ByVerdict[(int)Verdict.Abort]
        | ByVerdict[(int)Verdict.Trip] | ByVerdict[(int)Verdict.Drop];

    /// <summary>The causes that lead to exactly this verdict, at rest or otherwise.</summary>
    public static CauseSet Leading(Verdict verdict, bool atRest) => (atRest ? ByVerdictAtRest : ByVerdict)[(int)verdict];

    /// <summary>The most severe verdict of a set of causes.</summary>
    public static Verdict Worst(CauseSet causes, bool atRest)
    {
        for (Verdict verdict = Verdict.Drop; verdict > Verdict.None; verdict--)
        {
            if (!(causes & Leading(verdict, atRest)).IsEmpty)
                return verdict;
        }

        return Verdict.None;
    }

    /// <summary>The cause to name first: of the most severe verdict, the one declared first.</summary>
    public static Cause First(CauseSet causes)
    {
        for (Verdict verdict = Verdict.Drop; verdict > Verdict.None; verdict--)
        {
            foreach (Cause cause in causes & Leading(verdict, atRest: false))
                return cause;
        }

        return Cause.None;
    }

    /// <summary>The policy of one cause.</summary>
    /// <exception cref="ArgumentOutOfRangeException">There is none for <see cref="Cause.None"/>.</exception>
    public static CausePolicy Of(Cause cause) => cause == Cause.None || (int)cause > All.Length
        ? throw new ArgumentOutOfRangeException(nameof(cause), cause, "No policy for this value.")
        : All[(int)cause - 1];

    /// <summary>The table of all causes for the documentation, in Markdown.</summary>
    public static string ToMarkdown()
    {
        var table = new StringBuilder("| Cause | Verdict | At rest | Ends | What happened | What to do | Serves |\n|---|---|---|---|---|---|---|\n");
        foreach (CausePolicy one in All)
        {
            table.Append(CultureInfo.InvariantCulture, $"| {one.Cause} | {one.Verdict} | {one.AtRest} | {Words(one.Clearing)} ")
                .Append(CultureInfo.InvariantCulture, $"| {one.What} | {one.Advice} | {one.Requirements} |\n");
        }

        return table.ToString();
    }

    private static string Words(Clearing clearing) => clearing switch
    {
        Clearing.WhenGone => "when gone",
        Clearing.WhenVented => "when vented",
        Clearing.ByAcknowledgement => "by acknowledgement",
        _ => throw new ArgumentOutOfRangeException(nameof(clearing), clearing, null),
    };

    private static CausePolicy Latching(
        Cause cause, Verdict verdict, string what, string advice, string requirements, Verdict? atRest = null) =>
        new(cause, verdict, atRest ?? verdict, Clearing.ByAcknowledgement, what, advice, requirements);

    private static CausePolicy Ending(Cause cause, string what, string advice, string requirements) =>
        new(cause, Verdict.Abort, Verdict.Warn, Clearing.WhenVented, what, advice, requirements);

    private static CausePolicy Passing(Cause cause, Verdict verdict, string what, string advice, string requirements) =>
        new(cause, verdict, Verdict.Warn, Clearing.WhenGone, what, advice, requirements);

    private static CauseSet[] Masks(Func<CausePolicy, Verdict> verdictOf)
    {
        var masks = new CauseSet[(int)Verdict.Drop + 1];
        foreach (CausePolicy one in All)
            masks[(int)verdictOf(one)] = masks[(int)verdictOf(one)].With(one.Cause);
        return masks;
    }

    private static CauseSet Where(Clearing clearing)
    {
        CauseSet set = CauseSet.Empty;
        foreach (CausePolicy one in All)
            set = set.WithIf(one.Clearing == clearing, one.Cause);
        return set;
    }
}
