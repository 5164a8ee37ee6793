using System.Globalization;
using System.Text.Json;
using System.Runtime.Versioning;
using Barostep.Daemon;
using Barostep.Daemon.Access;
using Barostep.Daemon.Commands;
using Barostep.Tests.Configuration;

namespace Barostep.Tests.Access;

/// <summary>Tokens as a person gives and takes them, and what a daemon demands before it opens to a network.</summary>
[SupportedOSPlatform("linux")]
public sealed class TokenTests : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("barostep-tokens-");
    private readonly ConfigurationFixture _files = new(ShippedConfiguration.Folder);

    public void Dispose()
    {
        _files.Dispose();
        _folder.Delete(recursive: true);
    }

    [Fact]
    public async Task A_token_is_shown_once_and_its_text_is_kept_nowhere()
    {
        (int code, string told, string people) = await RunAsync("tokens", "add", "--name", "Ada Vahl", "--role", "operate", "--state", _folder.FullName);

        string text = told.Trim();
        Assert.Equal(ExitCodes.Done, code);
        Assert.Matches("^bst_[A-Za-z0-9_-]{43}$", text);
        Assert.DoesNotContain(text, people, StringComparison.Ordinal);
        string kept = File.ReadAllText(Path.Combine(_folder.FullName, "tokens.json"));
        Assert.DoesNotContain(text, kept, StringComparison.Ordinal);
        Assert.Contains(AccessToken.HashOf(text), kept, StringComparison.Ordinal);
        Assert.Equal(
            UnixFileMode.UserRead | UnixFileMode.UserWrite, File.GetUnixFileMode(Path.Combine(_folder.FullName, "tokens.json")));
    }

    [Fact]
    public async Task The_list_names_who_has_one_and_forgets_who_has_none_any_more()
    {
        await RunAsync("tokens", "add", "--name", "Ada Vahl", "--role", "operate", "--state", _folder.FullName);
        await RunAsync("tokens", "add", "--name", "dashboard", "--role", "watch", "--state", _folder.FullName);
        (int again, _, string why) = await RunAsync("tokens", "add", "--name", "dashboard", "--role", "limits", "--state", _folder.FullName);
        (int gone, _, _) = await RunAsync("tokens", "remove", "--name", "Ada Vahl", "--state", _folder.FullName);
        (_, string json, _) = await RunAsync("tokens", "list", "--json", "--state", _folder.FullName);

        Assert.Equal((ExitCodes.Refused, ExitCodes.Done), (again, gone));
        Assert.Contains("there is a token 'dashboard' already", why, StringComparison.Ordinal);
        JsonElement left = Assert.Single(JsonSerializer.Deserialize<JsonElement>(json).EnumerateArray());
        Assert.Equal(("dashboard", "watch"), (left.GetProperty("name").GetString(), left.GetProperty("role").GetString()));
    }

    [Theory]
    [InlineData("Ada", "owner", "there is no role 'owner'")]
    [InlineData("", "watch", "names nobody")]
    [InlineData("a name that is far too long to stand in any journal entry", "watch", "names nobody")]
    public async Task A_token_without_a_usable_name_or_role_is_refused(string name, string role, string why)
    {
        (int code, string told, string people) = await RunAsync("tokens", "add", "--name", name, "--role", role, "--state", _folder.FullName);

        Assert.Equal(ExitCodes.Refused, code);
        Assert.Empty(told);
        Assert.Contains(why, people, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_daemon_opens_to_no_network_without_a_certificate()
    {
        _files.Append("barostep.toml", "\n[network]\naddress = \"0.0.0.0\"\n");

        (int code, string why) = await ServeAsync();

        Assert.Equal(ExitCodes.Refused, code);
        Assert.Contains("[network] names no certificate", why, StringComparison.Ordinal);
        Assert.Contains("with TLS and tokens only", why, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Nor_while_nobody_has_a_token()
    {
        Certify();

        (int code, string why) = await ServeAsync();

        Assert.Equal(ExitCodes.Refused, code);
        Assert.Contains("nobody has a token", why, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Nor_with_a_certificate_that_is_out_of_date()
    {
        Certify(TimeSpan.FromDays(-1));

        (int code, string why) = await ServeAsync();

        Assert.Equal(ExitCodes.Refused, code);
        Assert.Contains("has been out of date since", why, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Nor_with_a_key_that_everybody_can_read()
    {
        File.SetUnixFileMode(Certify(), UnixFileMode.UserRead | UnixFileMode.OtherRead);

        (int code, string why) = await ServeAsync();

        Assert.Equal(ExitCodes.Refused, code);
        Assert.Contains("chmod o-rwx", why, StringComparison.Ordinal);
    }

    private string Certify(TimeSpan? validFor = null)
    {
        string path = Path.Combine(_folder.FullName, "bench-pc.pem");
        NetworkHost.WriteCertificate(path, validFor);
        _files.Append("barostep.toml", $"\n[network]\naddress = \"127.0.0.1\"\ncertificate = \"{path}\"\n");
        return path;
    }

    private async Task<(int Code, string Why)> ServeAsync()
    {
        (int code, _, string people) = await RunAsync(
            "serve", "--config", _files.Folder, "--state", _folder.FullName, "--ports", _folder.FullName, "--port", "0");
        return (code, people);
    }

    private static async Task<(int Code, string Told, string People)> RunAsync(params string[] arguments)
    {
        using var told = new StringWriter(CultureInfo.InvariantCulture);
        using var people = new StringWriter(CultureInfo.InvariantCulture);
        int code = await CommandLine.RunAsync(arguments, new CommandIo(told, people, IsInteractive: false));
        return (code, told.ToString(), people.ToString());
    }
}
