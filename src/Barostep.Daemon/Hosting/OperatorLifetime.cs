using System.Runtime.InteropServices;
using Barostep.Daemon.Sweeps;
using Microsoft.Extensions.Hosting;

namespace Barostep.Daemon.Hosting;

/// <summary>
/// Turns signals into a person's wishes: the first asks for a vent at the allowed rate, the second for one as fast as
/// the bench can. Neither ends the process by itself, since that would leave the pressure where it is.
/// </summary>
internal sealed class OperatorLifetime(IHostApplicationLifetime application) : IHostLifetime, IDisposable
{
    private readonly CancellationTokenSource _stop = new();
    private readonly CancellationTokenSource _dump = new();
    private readonly List<PosixSignalRegistration> _registrations = [];

    public CancellationToken Stop => _stop.Token;

    public CancellationToken Dump => _dump.Token;

    public OperatorSignals Signals => new(Stop, Dump);

    public Task WaitForStartAsync(CancellationToken cancellationToken)
    {
        foreach (PosixSignal signal in new[] { PosixSignal.SIGINT, PosixSignal.SIGTERM, PosixSignal.SIGHUP })
            _registrations.Add(PosixSignalRegistration.Create(signal, Heard));
        application.ApplicationStopping.Register(_stop.Cancel);
        return Task.CompletedTask;
    }

    public Task StopAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    public void Dispose()
    {
        foreach (PosixSignalRegistration registration in _registrations)
            registration.Dispose();
        _stop.Dispose();
        _dump.Dispose();
    }

    private void Heard(PosixSignalContext context)
    {
        context.Cancel = true;
        if (_stop.IsCancellationRequested)
            _dump.Cancel();
        else
            _stop.Cancel();
    }
}
