using Barostep.Daemon.Live;
using Barostep.Evaluation;
using Barostep.Records;
using Barostep.Safety;
using Barostep.Unattended;

namespace Barostep.Daemon.Unattended;

/// <summary>Looks at every bench now and then, and tells people of what ended, tripped, or waits for them: once each.</summary>
internal sealed class BenchWatch(IReadOnlyDictionary<string, BenchBoard> boards, Action<Notice> tell, TimeProvider time)
{
    /// <summary>Who stands at the bench answers sooner; word of every pointer that is read would be noise.</summary>
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(2);

    private readonly Dictionary<string, Told> _told = boards.Keys.ToDictionary(name => name, static _ => new Told());

    public void Step()
    {
        foreach ((string name, BenchBoard board) in boards)
        {
            BenchSight sight = board.Look();
            Told told = _told[name];
            Trip(name, sight, told);
            if (board.Run is not { } sheet || sight.Run is not { } run)
                continue;
            Question(name, run, told);
            if (sheet.IsOver && told.EndedRun != run.Job.RunId)
            {
                told.EndedRun = run.Job.RunId;
                Ended(name, run, sheet.Result);
            }
        }
    }

    private void Trip(string bench, BenchSight sight, Told told)
    {
        if (sight.Told is not { } seen)
            return;
        Cause cause = seen.Bench.FirstCause;
        bool isNew = cause != Cause.None && seen.Bench.TripNumber != told.Trip;
        told.Trip = cause == Cause.None ? null : seen.Bench.TripNumber;
        if (!isNew)
            return;
        CausePolicy policy = CausePolicy.Of(cause);
        tell(new Notice(
            NoticeKind.Tripped, time.GetUtcNow(), $"{bench}: tripped, {cause}", $"{policy.What} {policy.Advice} Somebody must acknowledge trip {seen.Bench.TripNumber}.",
            bench, sight.Run is { Ended: null } run ? run.Job.RunId : null));
    }

    private void Question(string bench, RunSight run, Told told)
    {
        if (run.Prompt is not { } prompt)
        {
            told.Asked = null;
            return;
        }

        if (told.Asked?.Prompt != prompt.Number)
            told.Asked = new Pending(prompt.Number, time.GetTimestamp());
        if (told.Asked.IsTold || time.GetElapsedTime(told.Asked.Since) < Patience)
            return;
        told.Asked = told.Asked with { IsTold = true };
        tell(new Notice(NoticeKind.Waiting, time.GetUtcNow(), $"{bench}: the run waits for a person", prompt.Text, bench, run.Job.RunId));
    }

    private void Ended(string bench, RunSight run, RunResult? result)
    {
        RunOutcome outcome = run.Ended?.Outcome ?? RunOutcome.Incomplete;
        // The trip itself was told when it happened.
        if (outcome == RunOutcome.Tripped)
            return;
        Conformity verdict = result?.Conformity ?? Conformity.NotDecided;
        bool good = outcome == RunOutcome.Completed && verdict != Conformity.Failed;
        string words = Output.RecordText.Verdict(outcome, verdict);
        string reason = run.Ended is { Reason.Length: > 0 } ended ? $": {ended.Reason}" : string.Empty;
        string vent = run.Ended?.VentConfirmed == true ? "The bench was seen to vent." : "It is NOT confirmed that the bench vented.";
        tell(new Notice(
            good ? NoticeKind.Done : NoticeKind.Failed, time.GetUtcNow(), $"{bench}: {run.Job.Device.Name} {words}",
            $"{run.Job.Device.Title}, serial {run.Job.Device.SerialNumber}, by {run.Job.Procedure.Title}: {words}{reason}. {vent}", bench, run.Job.RunId));
    }

    private sealed record Pending(int Prompt, long Since, bool IsTold = false);

    private sealed class Told
    {
        public uint? Trip { get; set; }

        public Pending? Asked { get; set; }

        public string? EndedRun { get; set; }
    }
}
