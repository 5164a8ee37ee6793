namespace Barostep.Unattended;

/// <summary>Where a queued run stands.</summary>
public enum QueueState
{
    Waiting,
    Running,

    /// <summary>It was run; its record says how it went.</summary>
    Ended,

    /// <summary>It could not begin; nothing was pressurised.</summary>
    Refused,

    /// <summary>The program ended while it was run.</summary>
    Interrupted,

    /// <summary>A person took it out before it began.</summary>
    Removed,
}

/// <summary>What becomes of the queue when a run fails. A trip, and a person who stops a run, halt it in any case.</summary>
public enum OnFailure
{
    Stop,
    GoOn,
}

/// <summary>A run that somebody wants done.</summary>
/// <param name="NotBeforeUtc">Null for as soon as its turn comes.</param>
public sealed record QueueWish(string Bench, string Device, string Procedure, DateTimeOffset? NotBeforeUtc, OnFailure OnFailure);

/// <summary>A run in the queue.</summary>
/// <param name="Id">Counts up over the installation; runs of one bench are done in this order.</param>
/// <param name="RunId">Of the record; null before it began.</param>
/// <param name="Note">Why it stands where it does; empty where there is nothing to say.</param>
public sealed record QueuedRun(long Id, QueueWish Wish, string AddedBy, DateTimeOffset AddedUtc, QueueState State, string? RunId, string Note);
