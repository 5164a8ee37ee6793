using Barostep.Control;
using Barostep.Instruments;
using Barostep.Procedures;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Daemon.Simulation;

/// <summary>
/// The places between the parts of the shipped program, where the world puts them together. As it stands every value goes
/// through unchanged; the tests change one at a time to show that what is wrong there is found.
/// </summary>
internal class Seams
{
    /// <summary>Nothing is changed.</summary>
    public static readonly Seams None = new();

    /// <summary>What the guard compares with.</summary>
    public virtual SafetyLimits Limits(SafetyLimits limits) => limits;

    /// <summary>What stands between a driver and its port.</summary>
    public virtual IByteLine Line(string port, IByteLine line, World world) => line;

    /// <summary>Where the guard's journal goes.</summary>
    public virtual JournalFile Journal(JournalFile file, World world) => file;

    /// <summary>The state in which a guard begins.</summary>
    public virtual SafetyState Start(SafetyState found) => found;

    /// <summary>Whether a guard takes the last stop for an unclean one.</summary>
    public virtual bool WasLeftOpen(bool found) => found;

    /// <summary>What a guard's cycle is told of the time and the computer.</summary>
    public virtual CycleClock Clock(CycleClock clock, World world) => clock;

    /// <summary>What a run is to do.</summary>
    public virtual Procedure Procedure(Procedure procedure) => procedure;

    /// <summary>What the sequencer wants, on its way to the guard.</summary>
    public virtual Intent Intent(Intent intent) => intent;

    /// <summary>What the guard tells, on its way to the sequencer and to people.</summary>
    public virtual BenchSnapshot Snapshot(BenchSnapshot snapshot) => snapshot;

    /// <summary>The record of a run that has ended, on its way to whoever keeps it.</summary>
    public virtual RunRecord Record(RunRecord record) => record;

    /// <summary>What a person asks of the guard; false loses it.</summary>
    public virtual bool Hears(PersonRequestKind kind) => true;

    /// <summary>Called before every cycle of the guard.</summary>
    public virtual void BeforeCycle(World world)
    {
    }
}
