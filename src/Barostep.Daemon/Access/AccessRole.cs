namespace Barostep.Daemon.Access;

/// <summary>What a token allows; each role includes those before it. Stopping needs none.</summary>
internal enum AccessRole
{
    /// <summary>Looking on, records and documents.</summary>
    Watch,

    /// <summary>Starting and confirming runs, the queue, acknowledging.</summary>
    Operate,

    /// <summary>Setting the ceiling.</summary>
    Limits,
}

/// <summary>Says on an endpoint what a caller from the network needs for it.</summary>
/// <param name="Role">Null where everybody within reach may.</param>
internal sealed record NeedsRole(AccessRole? Role);
