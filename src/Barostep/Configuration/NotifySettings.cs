using Barostep.Unattended;

namespace Barostep.Configuration;

/// <summary>A program that is told by HTTP.</summary>
/// <param name="SecretFile">Holds the key that the message is signed with; a relative path counts from the configuration folder.</param>
/// <param name="On">What it is told about.</param>
public sealed record WebhookSettings(Uri Url, string SecretFile, IReadOnlySet<NoticeKind> On);

/// <summary>How a connection to a mail server is protected.</summary>
public enum MailSecurity
{
    /// <summary>Encrypted once the server offers it, and refused where it does not.</summary>
    StartTls,

    /// <summary>Encrypted from the first byte.</summary>
    Tls,

    /// <summary>Not at all: for a server on this machine.</summary>
    None,
}

/// <summary>People who are told by mail.</summary>
/// <param name="User">Null where the server asks for none.</param>
/// <param name="PasswordFile">Null where there is no user.</param>
public sealed record MailSettings(
    string Server, int Port, MailSecurity Security, string? User, string? PasswordFile, string From, IReadOnlyList<string> To, IReadOnlySet<NoticeKind> On);

/// <summary>Who is told what happened, from <c>[notify]</c> in <c>barostep.toml</c>.</summary>
/// <param name="SummaryAt">When the summary is sent each day; null for never.</param>
/// <param name="DueWithinDays">How far ahead the summary names devices that become due.</param>
public sealed record NotifySettings(DailyTime? SummaryAt, int DueWithinDays, WebhookSettings? Webhook, MailSettings? Mail)
{
    /// <summary>What holds where the table is not written: nobody is told.</summary>
    public static readonly NotifySettings None = new(null, MorningSummary.UsualDueWithinDays, null, null);
}
