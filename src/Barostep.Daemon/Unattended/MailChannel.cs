using System.Globalization;
using Barostep.Configuration;
using Barostep.Unattended;
using MailKit.Net.Smtp;
using MailKit.Security;
using MimeKit;

namespace Barostep.Daemon.Unattended;

/// <summary>Sends a notice by mail.</summary>
/// <param name="settings">Where to, and by which server.</param>
/// <param name="password">Null where the server asks for none.</param>
internal sealed class MailChannel(MailSettings settings, string? password) : INoticeChannel
{
    public string Name => "mail";

    public IReadOnlySet<NoticeKind> On => settings.On;

    public async Task SendAsync(KeptNotice notice, CancellationToken cancellation)
    {
        using MimeMessage message = MessageOf(notice);
        using var client = new SmtpClient();
        await client.ConnectAsync(settings.Server, settings.Port, OptionsOf(settings.Security), cancellation);
        if (settings.User is { } user && password is not null)
            await client.AuthenticateAsync(user, password, cancellation);
        await client.SendAsync(message, cancellation);
        await client.DisconnectAsync(quit: true, cancellation);
    }

    private MimeMessage MessageOf(KeptNotice kept)
    {
        var message = new MimeMessage { Subject = $"[Barostep] {kept.Notice.Title}", Date = kept.Notice.AtUtc };
        message.From.Add(MailboxAddress.Parse(settings.From));
        message.To.AddRange(settings.To.Select(MailboxAddress.Parse));
        // Who gets a mail twice, because the answer to the first was lost, sees one.
        message.MessageId = $"{kept.Id}.{kept.Notice.AtUtc.ToUnixTimeMilliseconds().ToString(CultureInfo.InvariantCulture)}@barostep";
        string run = kept.Notice.Run is { } id ? $"\n\nrun {id}" : string.Empty;
        message.Body = new TextPart("plain") { Text = $"{kept.Notice.Text}{run}\n" };
        return message;
    }

    private static SecureSocketOptions OptionsOf(MailSecurity security) => security switch
    {
        MailSecurity.StartTls => SecureSocketOptions.StartTls,
        MailSecurity.Tls => SecureSocketOptions.SslOnConnect,
        MailSecurity.None => SecureSocketOptions.None,
        _ => throw new ArgumentOutOfRangeException(nameof(security), security, "unknown protection"),
    };
}
