using Barostep.Configuration;
using Barostep.Daemon.Access;
using Barostep.Daemon.Api;
using Barostep.Daemon.Commands;
using Barostep.Daemon.Guards;
using Barostep.Daemon.Live;
using Barostep.Daemon.Unattended;
using Barostep.Records;
using Barostep.Unattended;
using Microsoft.AspNetCore.Builder;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using Serilog.Events;

namespace Barostep.Daemon.Hosting;

/// <summary>What the daemon serves.</summary>
/// <param name="Workshop">The configuration.</param>
/// <param name="Benches">Names of its benches.</param>
/// <param name="State">State folder.</param>
/// <param name="GuardOf">The guard of each bench.</param>
/// <param name="Simulated">Whether the benches are simulated ones.</param>
/// <param name="Doors">Where it listens.</param>
internal sealed record DaemonOrder(
    WorkshopConfiguration Workshop,
    IReadOnlyList<string> Benches,
    string State,
    Func<string, GuardOrder> GuardOf,
    bool Simulated,
    Doors Doors)
{
    /// <summary>By which people are told what happened.</summary>
    public IReadOnlyList<INoticeChannel> Channels { get; init; } = [];
}

/// <summary>The daemon: every bench guarded, runs on demand, a page and an interface, until it is stopped.</summary>
internal static class Daemon
{
    public static async Task RunAsync(CommandIo io, DaemonOrder order)
    {
        ApiServer.DemandFree(order.Doors);
        using FileStream held = Hold(order.State);
        using RunStore store = RunStore.Open(Path.Combine(order.State, "records.sqlite"));
        WebApplicationBuilder builder = ProgramHost.WebBuilder(io, LevelOf(order.Workshop.Daemon.LogLevel), Path.Combine(order.State, "barostep.log"));
        ApiServer.Configure(builder, order.Doors);
        Dictionary<string, BenchBoard> boards = order.Benches.ToDictionary(
            name => name, name => new BenchBoard(order.Workshop.Benches[name], order.Simulated, TimeProvider.System));
        AddBenches(builder.Services, order, boards);
        var counts = new RunCounts();
        var means = new RunMeans(order.Workshop, order.GuardOf, order.Simulated, store);
        AddUnattended(builder.Services, order, boards, means, counts);
        await using WebApplication app = builder.Build();
        using ApiContext context = Context(app.Services, order, boards, means, counts);
        ApiServer.Map(app, context, order.Doors.Network?.Names ?? []);
        using var collected = new CollectorMetrics(context);

        await app.StartAsync();
        foreach (string address in ApiServer.AddressesOf(app))
            await io.Error.WriteLineAsync($"page {address}/");
        foreach (BenchService bench in app.Services.GetServices<IHostedService>().OfType<BenchService>())
            await bench.ExecuteTask!;
        if (order.Benches.Count == 0)
            await UntilStoppedAsync(app.Services.GetRequiredService<OperatorLifetime>());
        await app.StopAsync();
    }

    private static async Task UntilStoppedAsync(OperatorLifetime signals)
    {
        var stopped = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        await using CancellationTokenRegistration stop = signals.Stop.Register(stopped.SetResult);
        await stopped.Task;
    }

    private static void AddBenches(IServiceCollection services, DaemonOrder order, Dictionary<string, BenchBoard> boards)
    {
        foreach (BenchBoard board in boards.Values)
        {
            services.AddSingleton<IHostedService>(provider => new BenchService(
                board,
                order.GuardOf(board.Bench.Name),
                provider.GetRequiredService<OperatorLifetime>(),
                provider.GetRequiredService<TimeProvider>(),
                provider.GetRequiredService<ILogger<BenchService>>()));
        }

        services.AddSingleton(provider => new LiveFeed(boards, LiveStream.Make, provider.GetRequiredService<TimeProvider>()));
        services.AddHostedService(static provider => provider.GetRequiredService<LiveFeed>());
        services.AddHostedService(static provider => new ServiceNotice(
            provider.GetRequiredService<LiveFeed>(),
            provider.GetRequiredService<IHostApplicationLifetime>(),
            provider.GetRequiredService<TimeProvider>(),
            Environment.GetEnvironmentVariable("NOTIFY_SOCKET")));
    }

    private static void AddUnattended(
        IServiceCollection services, DaemonOrder order, Dictionary<string, BenchBoard> boards, RunMeans means, RunCounts counts)
    {
        RunStore store = means.Store;
        Action<Notice> tell = notice => store.Notices.Add(notice);
        services.AddSingleton(provider => new RunStarter(
            means, counts, provider.GetRequiredService<OperatorLifetime>(), provider.GetRequiredService<TimeProvider>(), provider.GetRequiredService<ILogger<RunStarter>>()));
        services.AddSingleton(provider => new ActionLog(store, provider.GetRequiredService<TimeProvider>(), provider.GetRequiredService<ILogger<ActionLog>>()));
        services.AddHostedService(static provider => provider.GetRequiredService<ActionLog>());
        services.AddSingleton(provider => new RunQueue(
            boards,
            store,
            static (board, mounted) => Readiness.Of(board.Look(), mounted),
            (board, queued) => provider.GetRequiredService<RunStarter>().StartAsync(board, queued.Wish.Device, queued.Wish.Procedure, queued.AddedBy),
            tell,
            provider.GetRequiredService<TimeProvider>(),
            provider.GetRequiredService<ILogger<RunQueue>>()));
        services.AddHostedService(provider => new UnattendedService(
            provider.GetRequiredService<RunQueue>(),
            new BenchWatch(boards, tell, provider.GetRequiredService<TimeProvider>()),
            store,
            order.Workshop.Daemon.Notify,
            provider.GetRequiredService<TimeProvider>(),
            provider.GetRequiredService<ILogger<UnattendedService>>()));
        foreach (INoticeChannel channel in order.Channels)
        {
            services.AddSingleton<IHostedService>(provider => new NoticeSender(
                channel, store, provider.GetRequiredService<TimeProvider>(), provider.GetRequiredService<ILogger<NoticeSender>>()));
        }
    }

    private static ApiContext Context(
        IServiceProvider services, DaemonOrder order, Dictionary<string, BenchBoard> boards, RunMeans means, RunCounts counts)
    {
        TimeProvider time = services.GetRequiredService<TimeProvider>();
        return new ApiContext(
            boards,
            means,
            services.GetRequiredService<RunStarter>(),
            services.GetRequiredService<LiveFeed>(),
            counts,
            new JournalReports(order.State),
            time,
            new AccessKeeper(new TokenFile(order.State), time, services.GetRequiredService<ILogger<AccessKeeper>>()),
            services.GetRequiredService<ActionLog>(),
            services.GetRequiredService<RunQueue>(),
            services.GetRequiredService<IHostApplicationLifetime>().ApplicationStopping);
    }

    /// <summary>Keeps the state folder for this process: two that went on with one journal would break its chain.</summary>
    private static FileStream Hold(string state)
    {
        try
        {
            Directory.CreateDirectory(state);
            return new FileStream(Path.Combine(state, "serve.lock"), FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None);
        }
        catch (Exception error) when (error is IOException or UnauthorizedAccessException)
        {
            throw new RefusedException(
                $"the state folder {state} cannot be taken: {error.Message} Stop the other barostep serve, or write another state_folder in barostep.toml.");
        }
    }

    private static LogEventLevel LevelOf(Configuration.LogLevel level) => level switch
    {
        Configuration.LogLevel.Debug => LogEventLevel.Debug,
        Configuration.LogLevel.Information => LogEventLevel.Information,
        Configuration.LogLevel.Warning => LogEventLevel.Warning,
        Configuration.LogLevel.Error => LogEventLevel.Error,
        _ => throw new ArgumentOutOfRangeException(nameof(level)),
    };
}
