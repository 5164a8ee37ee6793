using Barostep.Procedures.Prompts;

namespace Barostep.Records;

/// <summary>What a person was asked in a run, and what they answered.</summary>
/// <param name="Prompt">Number of the prompt, from 1.</param>
/// <param name="Kind">What was asked.</param>
/// <param name="Point">The point that it belongs to, from 1; 0 outside the series.</param>
/// <param name="Asked">In the words in which it was asked.</param>
/// <param name="AskedMicros">When, on the run's monotonic clock.</param>
/// <param name="Answer">In the person's own characters; empty for a mere confirmation.</param>
/// <param name="Who">Who answered; empty where nobody was named.</param>
/// <param name="AnsweredMicros">When.</param>
public sealed record AnswerRecord(
    int Prompt, PromptKind Kind, int Point, string Asked, long AskedMicros, string Answer, string Who, long AnsweredMicros)
{
    /// <summary>What the reference told then, Pa in the device's own reference; null where it is not about a pointer.</summary>
    public double? ReferencePascals { get; init; }

    /// <summary>Where the pointer stood, likewise.</summary>
    public double? IndicationPascals { get; init; }
}
