using System.Text.Json.Serialization;

namespace Barostep.Safety;

/// <summary>The contents of an entry other than a tick, which has a form of its own. A closed set.</summary>
public abstract record JournalPayload([property: JsonIgnore] JournalKind Kind);

/// <summary>The limits in force from here on.</summary>
public sealed record LimitsPayload(string Who, string Why, SafetyLimits Limits) : JournalPayload(JournalKind.Limits);

/// <summary>What the kernel remembers, so that a replay can begin here.</summary>
public sealed record StatePayload(SafetyState State) : JournalPayload(JournalKind.State);

/// <summary>The first entry of a file.</summary>
/// <param name="Program">Name and version.</param>
/// <param name="ProgramHash">SHA-256 of the assembly that decides; a replay needs the same.</param>
/// <param name="Bench">The bench's name.</param>
/// <param name="BenchHash">SHA-256 of its file.</param>
/// <param name="Installation">Which installation of the program.</param>
/// <param name="Boot">The computer's boot, as its kernel names it.</param>
/// <param name="FileNumber">1 for an installation's first file.</param>
/// <param name="FreshStart">Whether the program has just started; false where it only began another file.</param>
/// <param name="Simulated">Whether the bench is simulated. Such a journal can never pass for a real one.</param>
public sealed record OpenPayload(
    string Program,
    string ProgramHash,
    string Bench,
    string BenchHash,
    string Installation,
    string Boot,
    int FileNumber,
    bool FreshStart,
    bool Simulated) : JournalPayload(JournalKind.Open);

/// <summary>Written and flushed before a command that can raise pressure.</summary>
/// <param name="Target">The set point about to be sent.</param>
/// <param name="RateMilliPascalsPerSecond">The rate about to be sent.</param>
/// <param name="Reason">Which step asks for it.</param>
public sealed record RaisePayload(Pressure Target, long RateMilliPascalsPerSecond, string Reason) : JournalPayload(JournalKind.Raise);

/// <summary>A trip.</summary>
/// <param name="TripNumber">The number by which it is acknowledged.</param>
/// <param name="FirstCause">The first cause.</param>
/// <param name="Reading">The pressure that was read then; null where there was none.</param>
/// <param name="Action">What was done.</param>
public sealed record TripPayload(uint TripNumber, Cause FirstCause, Pressure? Reading, SafetyAction Action) : JournalPayload(JournalKind.Trip);

/// <summary>Somebody answered for a trip.</summary>
public sealed record AcknowledgePayload(uint TripNumber, string Who, string Why) : JournalPayload(JournalKind.Acknowledge);

/// <summary>The ceiling was changed.</summary>
public sealed record CeilingPayload(Pressure Before, Pressure After, string Who, string Why) : JournalPayload(JournalKind.Ceiling);

/// <summary>A run begins.</summary>
public sealed record RunStartPayload(string Run, string Device, string Procedure, string Who) : JournalPayload(JournalKind.RunStart);

/// <summary>A run ends.</summary>
public sealed record RunEndPayload(string Run, string Outcome) : JournalPayload(JournalKind.RunEnd);

/// <summary>Words of a person.</summary>
/// <param name="PersonNumber">The number by which ticks name this person; 0 where they do not.</param>
/// <param name="Who">Who.</param>
/// <param name="Text">What was said, and why.</param>
public sealed record NotePayload(uint PersonNumber, string Who, string Text) : JournalPayload(JournalKind.Note);

/// <summary>Cycles that are not recorded.</summary>
/// <param name="LostTicks">How many, as far as known.</param>
/// <param name="Reason">Why, as far as known.</param>
public sealed record GapPayload(long LostTicks, string Reason) : JournalPayload(JournalKind.Gap);

/// <summary>An orderly end.</summary>
/// <param name="Reason">Who or what asked.</param>
/// <param name="VentConfirmed">Whether the bench was seen to be vented.</param>
public sealed record StopPayload(string Reason, bool VentConfirmed) : JournalPayload(JournalKind.Stop);

/// <summary>The last entry of a file that goes on in another.</summary>
public sealed record RotatePayload(int NextFileNumber) : JournalPayload(JournalKind.Rotate);
