namespace Barostep.Configuration;

/// <summary>How much the daemon writes to its log. The journal is not affected.</summary>
public enum LogLevel
{
    Debug,
    Information,
    Warning,
    Error,
}

/// <summary>Settings of the daemon itself, from <c>barostep.toml</c>.</summary>
/// <param name="StateFolder">Where records and journals are kept; a relative path counts from the working folder.</param>
/// <param name="HttpPort">Port of the operator page and the HTTP interface, on the loopback address only.</param>
/// <param name="LogLevel">Least level that is logged.</param>
/// <param name="Benches">Names of the benches that <c>serve</c> runs, in the order written.</param>
/// <param name="Runs">Runs that the workshop means to make, checked as a whole each time the files are read.</param>
public sealed record DaemonSettings(
    string StateFolder,
    int HttpPort,
    LogLevel LogLevel,
    IReadOnlyList<string> Benches,
    IReadOnlyList<PlannedRun> Runs)
{
    /// <summary>What holds where <c>barostep.toml</c> says nothing.</summary>
    public static readonly DaemonSettings Default = new("state", 8750, LogLevel.Information, [], []);

    /// <summary>Names of the people who have the role safety: they raise lowered ceilings and acknowledge a fourth trip within an hour.</summary>
    public IReadOnlyCollection<string> SafetyPeople { get; init; } = [];

    /// <summary>Who issues certificates; null where no <c>[laboratory]</c> is written, and then none can be issued.</summary>
    public Laboratory? Laboratory { get; init; }

    /// <summary>Where the daemon listens beside the loopback address; null for nowhere.</summary>
    public NetworkListener? Network { get; init; }

    /// <summary>Who is told what happened.</summary>
    public NotifySettings Notify { get; init; } = NotifySettings.None;
}
