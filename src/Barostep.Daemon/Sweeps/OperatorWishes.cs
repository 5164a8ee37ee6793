using Barostep.Safety;

namespace Barostep.Daemon.Sweeps;

/// <summary>How a person who asked for a run ends it before its end.</summary>
/// <param name="Stop">Vent at the allowed rate and end.</param>
/// <param name="Dump">As fast as the bench can.</param>
internal sealed record OperatorSignals(CancellationToken Stop, CancellationToken Dump)
{
    /// <summary>Whether what the procedure asks a person now, null while it asks nothing, is confirmed; a simulated bench has a person who always does it.</summary>
    public Func<string?, bool> Confirms { get; init; } = static _ => true;
}

/// <summary>Shows each of an operator's two wishes in exactly one cycle.</summary>
internal sealed class OperatorWishes(OperatorSignals signals)
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
