namespace Barostep.Instruments.Probing;

/// <summary>What came of trying one capability of an instrument.</summary>
public enum ProbeResult
{
    /// <summary>It answered as the definition says, or took the message that brings no answer.</summary>
    Worked,

    /// <summary>The answer did not come, or was another than the definition says.</summary>
    Failed,

    /// <summary>Not sent: it can start, change or keep up a pressure.</summary>
    LeftOut,
}

/// <summary>One capability, tried some times.</summary>
/// <param name="Capability">What was tried.</param>
/// <param name="Result">How that went; failed where it failed once.</param>
/// <param name="Told">What the newest answer means, for people; or what was wrong with it.</param>
/// <param name="Raw">The newest answer as it came.</param>
/// <param name="TookMicros">Time from the first byte of the request to the end of the answer, for each try that worked.</param>
public sealed record ProbeFinding(Capability Capability, ProbeResult Result, string Told, string Raw, IReadOnlyList<long> TookMicros);
