using Barostep.Daemon.Hosting;
using Barostep.Safety;

namespace Barostep.Daemon.Sweeps;

/// <summary>Shows each of an operator's two wishes in exactly one cycle.</summary>
internal sealed class OperatorWishes(OperatorLifetime signals)
{
    private bool _stopShown;
    private bool _dumpShown;

    public PersonRequest Take()
    {
        if (signals.Dump.IsCancellationRequested && !_dumpShown)
        {
            _stopShown = _dumpShown = true;
            return PersonRequest.Dump;
        }

        if (!signals.Stop.IsCancellationRequested || _stopShown)
            return PersonRequest.None;
        _stopShown = true;
        return PersonRequest.Stop;
    }
}
