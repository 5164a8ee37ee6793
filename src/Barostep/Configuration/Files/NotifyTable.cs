using System.Collections.Frozen;
using System.Globalization;
using Barostep.Configuration.Toml;
using Barostep.Unattended;

namespace Barostep.Configuration.Files;

/// <summary>Reads <c>[notify]</c>.</summary>
internal static class NotifyTable
{
    private const int MailPort = 587;
    private const int MostDays = 366;

    private static readonly Dictionary<string, NoticeKind> Kinds = Enum.GetValues<NoticeKind>()
        .ToDictionary(kind => kind.ToString().ToLowerInvariant(), kind => kind, StringComparer.Ordinal);

    private static readonly Dictionary<string, MailSecurity> Securities = new(StringComparer.Ordinal)
    {
        ["starttls"] = MailSecurity.StartTls,
        ["tls"] = MailSecurity.Tls,
        ["none"] = MailSecurity.None,
    };

    public static NotifySettings Read(TableReader table)
    {
        TimeOnly? at = TimeIn(table);
        TimeZoneInfo? zone = ZoneIn(table);
        long days = table.WholeOr("due_within_days", MorningSummary.UsualDueWithinDays, 1, MostDays);
        WebhookSettings? webhook = table.TableIfAny("webhook") is { } hook ? Webhook(hook) : null;
        MailSettings? mail = table.TableIfAny("mail") is { } post ? Mail(post) : null;
        table.Close();
        return new NotifySettings(at is { } time && zone is not null ? new DailyTime(time, zone) : null, (int)days, webhook, mail);
    }

    private static TimeOnly? TimeIn(TableReader table)
    {
        if (table.TextIfAny("summary_at", "06:30") is not { } written)
            return null;
        if (TimeOnly.TryParseExact(written, "HH:mm", CultureInfo.InvariantCulture, DateTimeStyles.None, out TimeOnly time))
            return time;
        Report(table, "summary_at", written, "it is a time of day, hours and minutes", "write for example summary_at = \"06:30\"");
        return null;
    }

    private static TimeZoneInfo? ZoneIn(TableReader table)
    {
        string written = table.TextOr("time_zone", "UTC", "Europe/Vienna");
        if (TimeZoneInfo.TryFindSystemTimeZoneById(written, out TimeZoneInfo? zone))
            return zone;
        Report(table, "time_zone", written, "it is a name of the time zone database of this machine", "write for example \"Europe/Vienna\", or \"UTC\"");
        return null;
    }

    private static WebhookSettings? Webhook(TableReader table)
    {
        string? url = table.Text("url", "https://example.org/barostep");
        string? secret = table.Text("secret_file", "webhook-secret");
        IReadOnlySet<NoticeKind> on = KindsIn(table);
        table.Close();
        if (url is null || secret is null)
            return null;
        if (Uri.TryCreate(url, UriKind.Absolute, out Uri? address) && address.Scheme is "https" or "http")
            return new WebhookSettings(address, secret, on);
        Report(table, "url", url, "it is an address that begins with https:// or http://", "write for example \"https://example.org/barostep\"");
        return null;
    }

    private static MailSettings? Mail(TableReader table)
    {
        string? server = table.Text("server", "mail.example.org");
        long port = table.WholeOr("port", MailPort, 1, 65_535);
        MailSecurity security = table.ChoiceIfAny("security", Securities) ?? MailSecurity.StartTls;
        string? user = table.TextIfAny("user", "bench-pc");
        string? password = table.TextIfAny("password_file", "mail-password");
        string? from = table.Text("from", "bench-pc@example.org");
        List<string> to = [.. table.NamesIfAny("to").Select(entry => ((TomlValue.Text)entry.Value).Value)];
        IReadOnlySet<NoticeKind> on = KindsIn(table);
        table.Close();
        if (to.Count == 0)
            table.File.Report(table.At("to"), $"{table.PathOf("to")} names nobody", "a mail goes to somebody", "write to = [\"workshop@example.org\"]");
        if ((user is null) != (password is null))
        {
            table.File.Report(
                table.Where, $"[{table.Path}] has {(user is null ? "a password_file and no user" : "a user and no password_file")}",
                "a user signs in with a password", "write both, or neither");
        }

        return server is not null && from is not null && to.Count > 0
            ? new MailSettings(server, (int)port, security, user, password, from, to, on)
            : null;
    }

    /// <summary>Everything, where nothing is chosen.</summary>
    private static IReadOnlySet<NoticeKind> KindsIn(TableReader table)
    {
        IReadOnlyList<TomlEntry> written = table.NamesIfAny("on");
        var kinds = new HashSet<NoticeKind>();
        foreach (TomlEntry entry in written)
        {
            string word = ((TomlValue.Text)entry.Value).Value;
            if (Kinds.TryGetValue(word, out NoticeKind kind))
                kinds.Add(kind);
            else
                table.File.Report(entry.ValueAt, $"{table.PathOf("on")} names \"{MessageText.OneLine(word)}\"", $"it names some of {string.Join(", ", Kinds.Keys)}", "write one of these");
        }

        return written.Count == 0 ? Kinds.Values.ToFrozenSet() : kinds;
    }

    private static void Report(TableReader table, string key, string written, string rule, string instead) =>
        table.File.Report(table.At(key), $"{table.PathOf(key)} = \"{MessageText.OneLine(written)}\"", rule, instead);
}
