namespace Barostep.Daemon.Api;

/// <summary>Begins a run.</summary>
/// <param name="Device">Name of the device's file.</param>
/// <param name="Procedure">Name of the procedure's file.</param>
/// <param name="Who">Who begins it; goes into the journal. Here and below: a token's own name stands instead where one is shown.</param>
internal sealed record StartRequest(string Device, string Procedure, string? Who = null);

/// <summary>Ends the run that goes on.</summary>
internal sealed record StopRequest(string Run, string? Who = null);

/// <summary>A person has done what the run asked of them.</summary>
internal sealed record ConfirmRequest(string Run, string? Who = null);

/// <summary>Answers what the run asks now.</summary>
/// <param name="Run">The run.</param>
/// <param name="Prompt">Number of the prompt that was looked at; another one is not answered.</param>
/// <param name="Answer">A reading in the device's unit; anything, or nothing, where only a confirmation is wanted.</param>
/// <param name="Who">Who answers; goes into the record.</param>
internal sealed record AnswerRequest(string Run, int Prompt, string? Answer, string Who);

/// <summary>Answers for a trip.</summary>
/// <param name="Trip">Its number, as the bench tells it.</param>
internal sealed record AcknowledgeRequest(uint Trip, string Why, string? Who = null);

/// <summary>Sets the ceiling: lower at once, higher only while the bench is safe.</summary>
/// <param name="Pressure">With unit and reference, such as "9 bar gauge".</param>
internal sealed record CeilingRequest(string Pressure, string Why, string? Who = null);

/// <summary>What became of a request.</summary>
internal sealed record DoneView(string Message);
