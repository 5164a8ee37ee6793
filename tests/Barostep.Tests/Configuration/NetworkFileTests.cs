using Barostep.Configuration;
using Barostep.Unattended;

namespace Barostep.Tests.Configuration;

/// <summary>The tables of barostep.toml that open the daemon and send word.</summary>
public sealed class NetworkFileTests : IDisposable
{
    private const string Network = "\n[network]\naddress = \"192.0.2.10\"\ncertificate = \"bench-pc.pem\"\nnames = [\"bench-pc.example\"]\n";

    private const string Notify = """

        [notify]
        summary_at = "06:30"
        time_zone = "Europe/Vienna"

        [notify.webhook]
        url = "https://example.org/barostep"
        secret_file = "webhook-secret"
        on = ["failed", "tripped"]

        [notify.mail]
        server = "mail.example.org"
        from = "bench-pc@example.org"
        to = ["workshop@example.org"]

        """;

    private readonly ConfigurationFixture _files = new(ShippedConfiguration.Folder);

    public void Dispose() => _files.Dispose();

    [Fact]
    public void Accepts_both_and_fills_in_what_is_usual()
    {
        LoadedConfiguration loaded = _files.Append("barostep.toml", Network + Notify).Load();

        Assert.Empty(loaded.Errors);
        NetworkListener network = loaded.Configuration.Daemon.Network!;
        Assert.Equal(("192.0.2.10", NetworkListener.UsualPort), (network.Address.ToString(), network.Port));
        NotifySettings notify = loaded.Configuration.Daemon.Notify;
        Assert.Equal((new TimeOnly(6, 30), "Europe/Vienna"), (notify.SummaryAt!.At, notify.SummaryAt.Zone.Id));
        Assert.Equal([NoticeKind.Failed, NoticeKind.Tripped], notify.Webhook!.On.Order());
        Assert.Equal((587, MailSecurity.StartTls), (notify.Mail!.Port, notify.Mail.Security));
        Assert.Equal(Enum.GetValues<NoticeKind>().Length, notify.Mail.On.Count);
    }

    [Theory]
    [InlineData("address = \"192.0.2.10\"", "address = \"bench-pc\"", "it is an address of this machine in figures")]
    [InlineData("certificate = \"bench-pc.pem\"", "port = 443", "with TLS and tokens only")]
    [InlineData("\"06:30\"", "\"6.30\"", "it is a time of day")]
    [InlineData("Europe/Vienna", "Europe/Nowhere", "time zone database")]
    [InlineData("https://example.org", "ftp://example.org", "begins with https:// or http://")]
    [InlineData("\"tripped\"]", "\"triped\"]", "it names some of done, failed, tripped, waiting, summary")]
    [InlineData("to = [\"workshop@example.org\"]", "user = \"bench-pc\"\nto = [\"workshop@example.org\"]", "a user signs in with a password")]
    [InlineData("to = [\"workshop@example.org\"]\n", "", "a mail goes to somebody")]
    [InlineData("from = ", "secret = \"x\"\nfrom = ", "takes from, on, password_file, port, security, server, to, user")]
    public void Rejects_what_could_not_work(string from, string to, string rule)
    {
        LoadedConfiguration loaded = _files.Append("barostep.toml", (Network + Notify).Replace(from, to, StringComparison.Ordinal)).Load();

        ConfigurationError error = Assert.Single(loaded.Errors);
        Assert.Contains(rule, error.Rule, StringComparison.Ordinal);
        Assert.Equal("barostep.toml", error.Where.File);
    }
}
