using Barostep.Procedures.Prompts;
using Barostep.Safety;

namespace Barostep.Daemon.Sweeps;

/// <summary>How a person who asked for a run ends it before its end.</summary>
/// <param name="Stop">Vent at the allowed rate and end.</param>
/// <param name="Dump">As fast as the bench can.</param>
internal sealed record OperatorSignals(CancellationToken Stop, CancellationToken Dump)
{
    /// <summary>
    /// What a person answers to what is asked now, null while nothing is; called in every cycle, and the same answer is given
    /// until something else is asked. Where nobody else is there, somebody confirms whatever the procedure wants confirmed.
    /// </summary>
    public Func<Prompt?, PersonAnswer?> Answers { get; init; } = static prompt =>
        prompt is { Kind: PromptKind.Confirm } asked ? new PersonAnswer(asked.Number, string.Empty, "simulated person") : null;
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
