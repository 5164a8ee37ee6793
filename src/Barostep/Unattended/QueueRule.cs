using Barostep.Evaluation;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Unattended;

/// <summary>What is known of a bench when the queue asks whether a run may begin on it.</summary>
/// <param name="Heard">Whether its guard was heard within the last second.</param>
/// <param name="Vented">Whether it is known vented and nothing is asked of it.</param>
/// <param name="Identified">Whether every instrument of the guard has said who it is, and is the one expected.</param>
/// <param name="FirstCause">Of a trip that waits for a person.</param>
/// <param name="RunGoesOn">Whether somebody runs it already.</param>
/// <param name="Mounted">The device that a person said is mounted.</param>
public sealed record BenchReadiness(bool Heard, bool Vented, bool Identified, Cause FirstCause, bool RunGoesOn, string Mounted);

/// <summary>What the queue of a bench does next.</summary>
public abstract record QueueStep
{
    private QueueStep()
    {
    }

    /// <summary>There is nothing to do.</summary>
    public sealed record Rest : QueueStep;

    /// <summary>A run begins.</summary>
    public sealed record Begin(QueuedRun Run) : QueueStep;

    /// <summary>Something must be otherwise first.</summary>
    /// <param name="ForPerson">Whether only a person can make it so.</param>
    public sealed record Wait(string Why, bool ForPerson) : QueueStep;
}

/// <summary>When a queued run begins, and when a queue halts.</summary>
public static class QueueRule
{
    /// <summary>The next step of one bench's queue.</summary>
    /// <param name="waiting">What waits, in the order it was added.</param>
    public static QueueStep Next(IReadOnlyList<QueuedRun> waiting, BenchReadiness bench, DateTimeOffset nowUtc)
    {
        // A run that waits for the night holds up nothing that was added after it.
        QueuedRun? next = waiting.FirstOrDefault(run => run.Wish.NotBeforeUtc is not { } from || from <= nowUtc);
        if (next is null)
        {
            return waiting.Count == 0
                ? new QueueStep.Rest()
                : new QueueStep.Wait($"the next begins not before {waiting.Min(run => run.Wish.NotBeforeUtc):yyyy-MM-dd HH:mm} UTC", ForPerson: false);
        }

        QueueStep? obstacle = Obstacle(next, bench);
        return obstacle ?? new QueueStep.Begin(next);
    }

    /// <summary>Why the queue halts after a run; null where it goes on.</summary>
    public static string? Halts(OnFailure onFailure, RunOutcome outcome, Conformity verdict)
    {
        switch (outcome)
        {
            case RunOutcome.Tripped:
                return "the run was tripped";
            case RunOutcome.Stopped:
                return "somebody stopped the run";
            case RunOutcome.Completed when verdict != Conformity.Failed:
                return null;
            case RunOutcome.Completed:
                return onFailure == OnFailure.GoOn ? null : "the device failed";
            case RunOutcome.Aborted or RunOutcome.InstrumentFailure or RunOutcome.Refused or RunOutcome.Incomplete:
                return onFailure == OnFailure.GoOn ? null : "the run could not be completed";
            default:
                throw new ArgumentOutOfRangeException(nameof(outcome), outcome, "unknown outcome");
        }
    }

    private static QueueStep.Wait? Obstacle(QueuedRun next, BenchReadiness bench)
    {
        if (bench.RunGoesOn)
            return new QueueStep.Wait("a run is going on", ForPerson: false);
        if (!bench.Heard)
            return new QueueStep.Wait("the guard of the bench is not heard", ForPerson: false);
        if (bench.FirstCause != Cause.None)
            return new QueueStep.Wait($"a trip waits to be acknowledged: {bench.FirstCause}", ForPerson: true);
        if (!bench.Identified)
            return new QueueStep.Wait("not every instrument of the bench is identified and answers", ForPerson: false);
        if (!bench.Vented)
            return new QueueStep.Wait("the bench is not known to be vented", ForPerson: false);
        // The ceiling and the points are made for that device: no sensor tells which one hangs there.
        return bench.Mounted == next.Wish.Device
            ? null
            : new QueueStep.Wait($"mount {next.Wish.Device} and say so; {bench.Mounted} is mounted", ForPerson: true);
    }
}
