using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Procedures.Prompts;

/// <summary>What a person at the bench is asked to do or to tell.</summary>
public enum PromptKind
{
    /// <summary>What the procedure wants confirmed before the run goes on. The bench is vented.</summary>
    Confirm,

    /// <summary>The pressure is to be brought to the target, from the side of the series. No answer: the reference tells.</summary>
    BringTo,

    /// <summary>The target was passed: the pressure goes back beyond it, for another approach. No answer.</summary>
    BringBack,

    /// <summary>Hands off: the pressure is watched with the source shut. No answer.</summary>
    HandsOff,

    /// <summary>The release valve is to be opened. No answer: the reference tells.</summary>
    Release,

    /// <summary>The place of the pointer, before anything taps the gauge.</summary>
    ReadPointer,

    /// <summary>The gauge is tapped lightly, and the place of the pointer told again.</summary>
    ReadPointerTapped,

    /// <summary>The pointer is brought to the mark, without tapping, and that is confirmed.</summary>
    SetOnMark,

    /// <summary>The gauge is tapped lightly, the pointer brought to the mark again, and that is confirmed.</summary>
    SetOnMarkTapped,
}

/// <summary>What a person is asked at one moment of a run.</summary>
/// <param name="Number">Counts the prompts of a run from 1. An answer names it: what was asked before is not answered by it.</param>
/// <param name="Kind">What is asked.</param>
/// <param name="Target">The pressure that it is about.</param>
/// <param name="Direction">The side from which the target is approached.</param>
/// <param name="Point">The point that it belongs to, from 1; 0 outside the series.</param>
/// <param name="Text">For people, in the device's unit.</param>
/// <param name="SinceMicros">When it was first asked.</param>
/// <param name="UntilMicros">When the run ends without an answer; null where it waits as long as it takes.</param>
public sealed record Prompt(
    int Number,
    PromptKind Kind,
    Pressure Target,
    SeriesDirection Direction,
    int Point,
    string Text,
    long SinceMicros,
    long? UntilMicros)
{
    /// <summary>Whether the run waits for words; otherwise it sees by the reference what was done.</summary>
    public bool WantsAnswer => WantsReading || Kind is PromptKind.Confirm or PromptKind.SetOnMark or PromptKind.SetOnMarkTapped;

    /// <summary>Whether the answer is the place of a pointer.</summary>
    public bool WantsReading => Kind is PromptKind.ReadPointer or PromptKind.ReadPointerTapped;

    /// <summary>Whether it is asked at once and loudly: pressure stands where none should.</summary>
    public bool IsUrgent { get; init; }
}

/// <summary>What a person answered.</summary>
/// <param name="Prompt">Number of the prompt that it answers.</param>
/// <param name="Text">A reading in the device's unit, or anything where only a confirmation is wanted.</param>
/// <param name="Who">Who answered; empty where nobody was named.</param>
public sealed record PersonAnswer(int Prompt, string Text, string Who);
