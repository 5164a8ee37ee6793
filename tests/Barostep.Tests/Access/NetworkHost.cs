using System.Net;
using System.Net.Http.Headers;
using System.Net.Http.Json;
using System.Runtime.Versioning;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using Barostep.Configuration;
using Barostep.Daemon.Access;
using Barostep.Daemon.Api;
using Barostep.Daemon.Commands;
using Barostep.Daemon.Guards;
using Barostep.Daemon.Hosting;
using Barostep.Daemon.Live;
using Barostep.Daemon.Unattended;
using Barostep.Records;
using Barostep.Tests.Configuration;
using Microsoft.AspNetCore.Builder;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging.Abstractions;

namespace Barostep.Tests.Access;

/// <summary>The daemon's HTTP in this process, open to a network of one machine, over a bench that has no guard.</summary>
[SupportedOSPlatform("linux")]
public sealed class NetworkHost : IAsyncLifetime, IDisposable
{
    public const string Name = "bench-pc.example";

    private readonly DirectoryInfo _state = Directory.CreateTempSubdirectory("barostep-network-");
    private readonly List<IDisposable> _open = [];
    private WebApplication? _app;
    private int _clients;

    internal RunStore Store { get; private set; } = null!;

    internal TokenFile Tokens { get; private set; } = null!;

    internal ApiContext Context { get; private set; } = null!;

    /// <summary>Where scripts at the machine ask.</summary>
    public Uri Local { get; private set; } = null!;

    /// <summary>Where the network asks, by a name that the machine was given.</summary>
    public Uri Network { get; private set; } = null!;

    public string CertificateFile => Path.Combine(_state.FullName, "bench-pc.pem");

    public async Task InitializeAsync()
    {
        Tokens = new TokenFile(_state.FullName);
        Store = RunStore.Open(Path.Combine(_state.FullName, "records.sqlite"));
        _open.Add(Store);
        WriteCertificate(CertificateFile);
        WorkshopConfiguration workshop = ConfigurationFolder.Load(ShippedConfiguration.Folder);
        var listener = new NetworkListener(IPAddress.Loopback, 0, CertificateFile, Key: null, PasswordFile: null, [Name]);
        WebApplicationBuilder builder = WebApplication.CreateEmptyBuilder(new WebApplicationOptions());
        builder.Services.AddLogging();
        ApiServer.Configure(builder, new Doors(0, listener, new ServerCertificate(listener, _state.FullName, TimeProvider.System)));
        Dictionary<string, BenchBoard> boards = new() { ["demo"] = new BenchBoard(workshop.Benches["demo"], simulated: true, TimeProvider.System) };
        var feed = new LiveFeed(boards, LiveStream.Make, TimeProvider.System);
        var actions = new ActionLog(Store, TimeProvider.System, NullLogger<ActionLog>.Instance);
        builder.Services.AddHostedService(_ => feed);
        builder.Services.AddHostedService(_ => actions);
        _app = builder.Build();
        var lifetime = new OperatorLifetime(_app.Lifetime);
        _open.Add(lifetime);
        var counts = new RunCounts();
        var means = new RunMeans(
            workshop, name => new GuardOrder(name, ShippedConfiguration.Folder, _state.FullName, null, static _ => { }), Simulated: true, Store);
        Context = new ApiContext(
            boards, means, new RunStarter(means, counts, lifetime, TimeProvider.System, NullLogger<RunStarter>.Instance), feed, counts,
            new JournalReports(_state.FullName), TimeProvider.System, new AccessKeeper(Tokens, TimeProvider.System, NullLogger.Instance), actions,
            new RunQueue(boards, Store, static (board, mounted) => Readiness.Of(board.Look(), mounted), static (_, _) => throw new RefusedException("there is no guard"), notice => Store.Notices.Add(notice), TimeProvider.System, NullLogger<RunQueue>.Instance),
            _app.Lifetime.ApplicationStopping);
        _open.Add(Context);
        ApiServer.Map(_app, Context, listener.Names);
        await _app.StartAsync();
        IReadOnlyList<string> addresses = ApiServer.AddressesOf(_app);
        Local = new Uri(addresses[0]);
        Network = new Uri($"https://{Name}:{new Uri(addresses[1]).Port}");
    }

    public async Task DisposeAsync()
    {
        await _app!.StopAsync();
        await _app.DisposeAsync();
    }

    public void Dispose()
    {
        _open.ForEach(one => one.Dispose());
        _state.Delete(recursive: true);
    }

    /// <summary>Gives somebody a token of their own.</summary>
    internal string TokenFor(AccessRole role, string? name = null)
    {
        (string text, AccessToken kept) = AccessToken.Draw(name ?? $"{role} {Guid.NewGuid():N}", role, TimeProvider.System.GetUtcNow());
        Tokens.Add(kept);
        return text;
    }

    /// <summary>
    /// Somebody on the network, at an address of their own: trusts this host's certificate and no other, keeps cookies as a
    /// browser does.
    /// </summary>
    public HttpClient Client(string? token = null)
    {
        var from = new IPEndPoint(new IPAddress([127, 0, 1, (byte)(Interlocked.Increment(ref _clients) % 250 + 1)]), 0);
        var handler = new SocketsHttpHandler
        {
            // The name is not in any directory of names.
            ConnectCallback = async (_, cancellation) =>
            {
                var socket = new System.Net.Sockets.Socket(System.Net.Sockets.AddressFamily.InterNetwork, System.Net.Sockets.SocketType.Stream, System.Net.Sockets.ProtocolType.Tcp);
                socket.Bind(from);
                await socket.ConnectAsync(IPAddress.Loopback, Network.Port, cancellation);
                return new System.Net.Sockets.NetworkStream(socket, ownsSocket: true);
            },
        };
        handler.SslOptions.RemoteCertificateValidationCallback = (_, shown, _, _) => IsItsOwn(shown);
        var client = new HttpClient(handler) { BaseAddress = Network };
        if (token is not null)
            client.DefaultRequestHeaders.Authorization = new AuthenticationHeaderValue("Bearer", token);
        return client;
    }

    /// <summary>Whether a certificate is the one that this host was given.</summary>
    public bool IsItsOwn(X509Certificate? shown)
    {
        using X509Certificate2 expected = X509Certificate2.CreateFromPem(File.ReadAllText(CertificateFile));
        return shown?.GetCertHashString() == expected.Thumbprint;
    }

    /// <summary>Waits until the actions show something.</summary>
    public async Task<IReadOnlyList<ActionRecord>> ActionsUntilAsync(Func<IReadOnlyList<ActionRecord>, bool> show)
    {
        using var patience = new CancellationTokenSource(TimeSpan.FromSeconds(60));
        while (true)
        {
            IReadOnlyList<ActionRecord> actions = Store.Actions.Newest(50);
            if (show(actions))
                return actions;
            await Task.Delay(20, patience.Token);
        }
    }

    public static async Task<string> DetailOf(HttpResponseMessage response) =>
        (await response.Content.ReadFromJsonAsync<System.Text.Json.JsonElement>()).GetProperty("detail").GetString()!;

    /// <summary>A certificate of this host's own, with its key in the same file.</summary>
    public static void WriteCertificate(string path, TimeSpan? validFor = null)
    {
        using var key = ECDsa.Create(ECCurve.NamedCurves.nistP256);
        var request = new CertificateRequest($"CN={Name}", key, HashAlgorithmName.SHA256);
        DateTimeOffset now = TimeProvider.System.GetUtcNow();
        using X509Certificate2 made = request.CreateSelfSigned(now.AddDays(-30), now + (validFor ?? TimeSpan.FromDays(1)));
        File.WriteAllText(path, $"{made.ExportCertificatePem()}\n{key.ExportPkcs8PrivateKeyPem()}\n");
        File.SetUnixFileMode(path, UnixFileMode.UserRead | UnixFileMode.UserWrite);
    }
}

/// <summary>Tests on one host, one after another: some of them fill it with requests.</summary>
[CollectionDefinition(Name)]
[SupportedOSPlatform("linux")]
public sealed class OnNetworkHost : ICollectionFixture<NetworkHost>
{
    public const string Name = "Network host";
}
