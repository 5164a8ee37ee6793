using System.Globalization;
using System.Reflection;
using System.Text;

namespace Barostep.Tests.Repository;

/// <summary>One numbered requirement: what it asks, where the code answers it, and where a decision does.</summary>
/// <param name="Number">1 to 50.</param>
/// <param name="Asks">In a few words.</param>
/// <param name="Enforced">Types and members of the product; empty where nothing enforces it yet.</param>
/// <param name="Decision">Number of the decision that answers it, wholly or in part; empty for none.</param>
internal sealed record SafetyRequirement(int Number, string Asks, string[] Enforced, string Decision = "");

/// <summary>The map from each safety requirement to the code that enforces it and the tests that name it.</summary>
internal static class SafetyRequirements
{
    private const string Budget = "0011";
    private const string Latency = "0012";
    private const string Otherwise = "0013";
    private const string Process = "0014";
    private const string People = "0015";
    private const string DumpTest = "0016";

    public static readonly IReadOnlyList<SafetyRequirement> All =
    [
        new(1, "every part with its rating; the weakest is computed and shown", ["BenchLimits.Ceilings", "SafetyLimits.CeilingGovernedBy"]),
        new(2, "no pressure unless the worst overshoot stays below every rating", ["OvershootBudget.Evaluate", "BenchPermit.For", "BenchBudget.InputsFor"], Budget),
        new(3, "trip at the ceiling or the floor on any sensor; bad is never small", ["SafetyKernel.Decide", "SensorReading.IsGood"]),
        new(4, "no set point nearer to the ceiling than the margin", ["SafetyLimits.SetPointMargin", "RunCheck.Check"]),
        new(5, "the source's own limit is set and read back", ["SafetyLimits.SourceUpperLimit"]),
        new(6, "unit and reference are set, read back and watched", ["SourceReport.UnitChanged"]),
        new(7, "no pressure without unit and reference", ["StatedPressure", "Pressure"]),
        new(8, "two sensors agree", ["SafetyLimits.AgreementTolerance"]),
        new(9, "zero check before and after", ["Sampling.ReferenceReadsZero"]),
        new(10, "first point low, the device must agree", ["Sampling.DeviceFollows"]),
        new(11, "leak test before full pressure", ["Procedure", "Cause.RunGivenUp"]),
        new(12, "permission lapses unless fresh readings renew it", ["Decision.LeaseUntilMicros", "InstrumentDriver.VentIfNotRenewed"], Latency),
        new(13, "one owner of the reference and the relay", ["PortLock", "GuardHalf"], Process),
        new(14, "20 readings a second, counted from messages and line speed", ["OvershootBudget.SlowestPollSeconds"]),
        new(15, "age counts from the request; too old trips", ["SensorReading.AskedAtMicros", "SafetyLimits.ReferenceStaleAfterMicros"]),
        new(16, "a lost line is lost at once", ["Cause.ReferenceLineLost", "LinkState"]),
        new(17, "only the reply to the open question counts", ["ReplyPattern.Match", "InstrumentDriver.Advance"], Otherwise),
        new(18, "a frozen sensor is noticed", ["SafetyLimits.ReferenceFrozenAfter"]),
        new(19, "pressure follows commands, and falls when it is isolated", ["SafetyLimits.ResponseWithinMicros", "Cause.RiseWhileIsolated"]),
        new(20, "too fast a change trips, and a rise that the stated volume could not make", ["SafetyLimits.MaxRateMilliPascalsPerSecond", "SafetyLimits.FastestFillMilliPascalsPerSecond"], Otherwise),
        new(21, "20 ms from reading to command", ["Lateness", "SafetyLimits.LongestGapMicros"], Latency),
        new(22, "a trip waits for nothing", ["GuardHalf.Cycle", "JournalFile"]),
        new(23, "a vent that is not acknowledged drops the relay", ["SafetyLimits.VentAcknowledgedWithinMicros"], Latency),
        new(24, "trips outlive a restart", ["JournalRecovery.RestartState", "SafetyState.AfterRestart"]),
        new(25, "the first cause and what led to it are kept", ["Decision.FirstCause", "JournalReport.Trips"]),
        new(26, "a reset needs a verified vent and a person who names the trip; a fourth in an hour the role safety", ["PersonRequest", "SafetyLimits.SafeAfterMicros", "ResetTrack"], People),
        new(27, "states of an alarm", ["AlarmPanel", "AlarmState"], People),
        new(28, "one alarm for one cause, and a flag for a flood", ["AlarmSummary.Consequences", "AlarmSummary.Flood"], People),
        new(29, "no trip can be configured off or kept back", ["CausePolicy.All", "AlarmPanel.Do"]),
        new(30, "safe is proved anew every cycle", ["SafetyKernel.Decide", "BenchSnapshot.Depressurised"]),
        new(31, "a vent must be seen", ["SafetyLimits.VentTimeConstantMicros", "Cause.VentFailed"]),
        new(32, "a start counts as pressurised", ["SafetyState.Initial", "GuardPhase.Boot"]),
        new(33, "guard and sequencer are two processes", ["GuardService", "IGuard"], Process),
        new(34, "self-test before each run", ["DumpTest", "SafetyLimits.SelfTestRise", "Cause.SelfTestFailed", "Cause.RelayStuckShut"], DumpTest),
        new(35, "a stop vents and tells whether it was seen", ["ExitCodes.Stopped", "StopPayload.VentConfirmed"]),
        new(36, "the end of either half ends the pressure", ["SafetyLimits.IntentLapsesAfterMicros", "InstrumentDriver.VentIfNotRenewed"], Process),
        new(37, "watchdogs are fed by good cycles only", ["ServiceManager.AfterCycle", "RelayLink"], Process),
        new(38, "after a loss of power nothing starts by itself", ["Cause.UncleanStart"], Process),
        new(39, "no restart without end", ["RestartLimit"], Process),
        new(40, "up in writing, down at once", ["SafetyJournal.IsRaiseOnDisk"]),
        new(41, "a journal that failed once is given up", ["JournalFile.HasFailed"]),
        new(42, "room for the journal", ["Cause.DiskLow", "JournalReserve"], Otherwise),
        new(43, "a torn tail is cut, corruption stops", ["JournalRecovery.MayContinue", "JournalReader.Verify"]),
        new(44, "every cycle replays bit for bit", ["JournalReplay.Run"]),
        new(45, "anyone may vent; raising needs a role", ["PersonRole", "SafetyState.LoweredCeiling"], People),
        new(46, "unattended only with relief valve, relay and tests; attended within limits", ["OvershootReport.AttendedOnlyReasons", "BenchProtection.UnattendedAllowed", "BenchPermit.Attended"]),
        new(47, "no stop of ours is called an emergency stop", ["LimitsCommand", "SweepCommands"]),
        new(48, "oxygen and flammable gases are refused", ["FillGas.Find"]),
        new(49, "a simulated run can never pass for a real one", ["OpenPayload.Simulated", "RunRecord.Simulated", "LineAddress.World"], Otherwise),
        new(50, "doubtful samples are kept and void", ["Decision.SamplesVoid"]),
    ];

    /// <summary>The table of the page.</summary>
    public static string ToMarkdown()
    {
        ILookup<int, string> tests = TestsByNumber();
        var table = new StringBuilder("| SR | It asks for | Enforced by | Tests | Decision |\n|---|---|---|---|---|\n");
        foreach (SafetyRequirement one in All)
        {
            string enforced = string.Join(", ", one.Enforced.Select(name => $"`{name}`"));
            string named = string.Join(", ", tests[one.Number].Distinct().Order(StringComparer.Ordinal));
            string decision = one.Decision.Length > 0 ? $"[{one.Decision}](decisions/{FileOf(one.Decision)})" : "";
            table.Append(CultureInfo.InvariantCulture, $"| {one.Number:00} | {one.Asks} | {enforced} | {named} | {decision} |\n");
        }

        return table.ToString();
    }

    /// <summary>Test classes by the requirement that one of their tests names.</summary>
    public static ILookup<int, string> TestsByNumber() => typeof(SafetyRequirements).Assembly.GetTypes()
        .SelectMany(type => type.GetMethods(BindingFlags.Public | BindingFlags.Instance | BindingFlags.DeclaredOnly))
        .SelectMany(method => method.GetCustomAttributesData().Concat(method.DeclaringType!.GetCustomAttributesData())
            .Where(data => data.AttributeType == typeof(TraitAttribute) && (string?)data.ConstructorArguments[0].Value == "SR")
            .SelectMany(data => ((string)data.ConstructorArguments[1].Value!).Split(',', StringSplitOptions.TrimEntries))
            .Select(number => (Number: int.Parse(number, CultureInfo.InvariantCulture), Class: method.DeclaringType!.Name)))
        .ToLookup(pair => pair.Number, pair => pair.Class);

    private static string FileOf(string decision) =>
        Path.GetFileName(Assert.Single(Directory.GetFiles(Path.Combine(RepositoryPaths.Root, "docs", "decisions"), $"{decision}-*.md")));
}
