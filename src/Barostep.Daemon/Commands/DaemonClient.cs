using System.CommandLine;
using System.Net.Http.Headers;
using System.Net.Http.Json;
using System.Text.Json;
using Barostep.Configuration;

namespace Barostep.Daemon.Commands;

/// <summary>Asks the daemon of this machine, as the page does.</summary>
internal sealed class DaemonClient
{
    private static readonly TimeSpan LongestAnswer = TimeSpan.FromSeconds(45);

    public Option<int?> Port { get; } = new("--port") { Description = "port of the daemon on this machine; without it the one of barostep.toml" };

    public Option<string?> Config { get; } = Options.Config();

    public Option<string> Who { get; } = new("--who")
    {
        Description = "who asks; goes into the records. Without it the name of the account",
        DefaultValueFactory = static _ => Environment.UserName,
    };

    /// <summary>A command that takes these options.</summary>
    public Command With(Command command)
    {
        command.Add(Port);
        command.Add(Config);
        return command;
    }

    public Task<JsonElement> GetAsync(ParseResult arguments, string path) => AskAsync(arguments, HttpMethod.Get, path, null);

    public Task<JsonElement> PostAsync(ParseResult arguments, string path, object body) => AskAsync(arguments, HttpMethod.Post, path, body);

    /// <exception cref="RefusedException">No daemon answers, or it does not do it; the message is its own.</exception>
    private async Task<JsonElement> AskAsync(ParseResult arguments, HttpMethod method, string path, object? body)
    {
        int port = arguments.GetValue(Port) ?? ConfigurationFolder.Load(arguments.GetValue(Config)).Daemon.HttpPort;
        using var client = new HttpClient { BaseAddress = new Uri($"http://127.0.0.1:{port}/api/v1/"), Timeout = LongestAnswer };
        using var request = new HttpRequestMessage(method, path);
        request.Headers.Accept.Add(new MediaTypeWithQualityHeaderValue("application/json"));
        if (body is not null)
            request.Content = JsonContent.Create(body);
        try
        {
            using HttpResponseMessage response = await client.SendAsync(request);
            JsonElement told = await response.Content.ReadFromJsonAsync<JsonElement>();
            return response.IsSuccessStatusCode ? told : throw new RefusedException(told.GetProperty("detail").GetString() ?? $"the daemon answered {(int)response.StatusCode}");
        }
        catch (Exception error) when (error is HttpRequestException or TaskCanceledException or JsonException)
        {
            throw new RefusedException($"no daemon answers at 127.0.0.1 port {port}: {error.Message} Start barostep serve, or name its port with --port.");
        }
    }
}
