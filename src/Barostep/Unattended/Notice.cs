namespace Barostep.Unattended;

/// <summary>What people are told about.</summary>
public enum NoticeKind
{
    /// <summary>A run was completed, and its device did not fail.</summary>
    Done,

    /// <summary>A device failed, or a run could not be completed.</summary>
    Failed,
    Tripped,

    /// <summary>Something waits for a person.</summary>
    Waiting,
    Summary,
}

/// <summary>Something that people are told.</summary>
/// <param name="Title">One line.</param>
/// <param name="Text">All of it, for people.</param>
/// <param name="Bench">Null where it is about no single bench.</param>
/// <param name="Run">Id of the record; null where it is about none.</param>
public sealed record Notice(NoticeKind Kind, DateTimeOffset AtUtc, string Title, string Text, string? Bench = null, string? Run = null);

/// <summary>A notice that was kept.</summary>
/// <param name="Id">Counts up over the installation.</param>
public sealed record KeptNotice(long Id, Notice Notice);
