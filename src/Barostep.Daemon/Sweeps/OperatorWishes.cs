using Barostep.Daemon.Hosting;
using Barostep.Safety;

namespace Barostep.Daemon.Sweeps;

/// <summary>Shows each of an operator's two wishes in exactly one cycle.</summary>
internal sealed class OperatorWishes(OperatorLifetime signals)
{
    private bool stopShown;
    private bool dumpShown;

    public PersonRequest Take()
    {
        if (signals.Dump.IsCancellationRequested && !dumpShown)
        {
            stopShown = dumpShown = true;
            return PersonRequest.Dump;
        }

        if (!signals.Stop.IsCancellationRequested || stopShown)
            return PersonRequest.None;
        stopShown = true;
        return PersonRequest.Stop;
    }
}
