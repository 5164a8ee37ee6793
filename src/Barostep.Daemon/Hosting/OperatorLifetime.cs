using System.Runtime.InteropServices;
using Microsoft.Extensions.Hosting;

namespace Barostep.Daemon.Hosting;

/// <summary>
/// Turns signals into a person's wishes: the first asks for a vent at the allowed rate, the second for one as fast as
/// the bench can. Neither ends the process by itself, since that would leave the pressure where it is.
/// </summary>
internal sealed class OperatorLifetime(IHostApplicationLifetime application) : IHostLifetime, IDisposable
{
    private readonly CancellationTokenSource stop = new();
    private readonly CancellationTokenSource dump = new();
    private readonly List<PosixSignalRegistration> registrations = [];

    public CancellationToken Stop => stop.Token;

    public CancellationToken Dump => dump.Token;

    public Task WaitForStartAsync(CancellationToken cancellationToken)
    {
        foreach (PosixSignal signal in new[] { PosixSignal.SIGINT, PosixSignal.SIGTERM, PosixSignal.SIGHUP })
            registrations.Add(PosixSignalRegistration.Create(signal, Heard));
        application.ApplicationStopping.Register(stop.Cancel);
        return Task.CompletedTask;
    }

    public Task StopAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    public void Dispose()
    {
        foreach (PosixSignalRegistration registration in registrations)
            registration.Dispose();
        stop.Dispose();
        dump.Dispose();
    }

    private void Heard(PosixSignalContext context)
    {
        context.Cancel = true;
        if (stop.IsCancellationRequested)
            dump.Cancel();
        else
            stop.Cancel();
    }
}
