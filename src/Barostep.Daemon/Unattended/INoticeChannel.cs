using Barostep.Unattended;

namespace Barostep.Daemon.Unattended;

/// <summary>A way to tell people or programs: by HTTP, or by mail.</summary>
internal interface INoticeChannel
{
    /// <summary>As it stands in the records of what was delivered.</summary>
    string Name { get; }

    /// <summary>What it is told about.</summary>
    IReadOnlySet<NoticeKind> On { get; }

    /// <summary>Delivers one notice; whatever is thrown counts as not delivered.</summary>
    Task SendAsync(KeptNotice notice, CancellationToken cancellation);
}
