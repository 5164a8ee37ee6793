using System.Collections.Immutable;
using Barostep.Control;
using Barostep.Daemon.Sweeps;
using Barostep.Evaluation;
using Barostep.Procedures;
using Barostep.Procedures.Prompts;
using Barostep.Records;

namespace Barostep.Daemon.Live;

/// <summary>A run at one moment.</summary>
/// <param name="Job">What is done.</param>
/// <param name="StartedUtc">When it was asked for.</param>
/// <param name="Progress">Where it stands; its phase is idle before the first cycle.</param>
/// <param name="Indication">What the device told last; count 0 before it told anything.</param>
/// <param name="Points">The points read so far, each evaluated by itself.</param>
/// <param name="LeakTest">Null where there was none yet.</param>
/// <param name="StopAsked">Whether somebody asked for its end.</param>
/// <param name="Ended">How it ended; null while it goes on.</param>
internal sealed record RunSight(
    SweepJob Job,
    DateTimeOffset StartedUtc,
    RunProgress Progress,
    IndicationReading Indication,
    ImmutableList<PointResult> Points,
    LeakTestRecord? LeakTest,
    bool StopAsked,
    RunEvent.Ended? Ended)
{
    /// <summary>What a person is asked now; null while nothing is.</summary>
    public Prompt? Prompt => Ended is null ? Progress.Prompt : null;
}

/// <summary>What became of an answer.</summary>
internal enum AnswerFate
{
    Taken,

    /// <summary>Something else is asked now, or nothing.</summary>
    TooLate,

    /// <summary>Somebody else was quicker.</summary>
    AnsweredAlready,

    /// <summary>It is no reading of that scale.</summary>
    NoReading,
}

/// <summary>A run of the daemon's own, as its thread fills it in and people read it. Any thread; nothing here waits.</summary>
internal sealed class RunSheet : IRunWatcher, IDisposable
{
    private readonly Lock _gate = new();
    private readonly CancellationTokenSource _stop = new();
    private readonly CancellationTokenSource _dump = new();
    private readonly RunCounts _counts;
    private RunSight _sight;
    private Bench? _bench;
    private RunRecord? _header;
    private PersonAnswer? _answer;
    private volatile bool _over;
    private RunEvent.Ended? _ended;

    /// <param name="job">What is done.</param>
    /// <param name="startedUtc">When it was asked for.</param>
    /// <param name="counts">Counts runs and points for the daemon's metrics.</param>
    public RunSheet(SweepJob job, DateTimeOffset startedUtc, RunCounts counts)
    {
        _counts = counts;
        _sight = new RunSight(job, startedUtc, default, default, [], null, false, null);
        Signals = new OperatorSignals(_stop.Token, _dump.Token) { Answers = Answers };
    }

    public OperatorSignals Signals { get; }

    // One answer is for one question: the next one is asked again.
    private PersonAnswer? Answers(Prompt? asked)
    {
        lock (_gate)
            return asked is not null && _answer?.Prompt == asked.Number ? _answer : null;
    }

    /// <summary>The evaluated whole; null before the end, and where it could not be made.</summary>
    public RunResult? Result { get; private set; }

    /// <summary>Whether its thread has let go of the bench.</summary>
    public bool IsOver => _over;

    public RunSight Look()
    {
        lock (_gate)
            return _sight;
    }

    /// <summary>The guard has allowed it.</summary>
    /// <param name="bench">As the run sees it.</param>
    /// <param name="header">The record before the first cycle.</param>
    public void Begin(Bench bench, RunRecord header) => (_bench, _header) = (bench, header);

    public void Stop()
    {
        Change(sight => sight with { StopAsked = true });
        _stop.Cancel();
    }

    public void Dump()
    {
        Change(sight => sight with { StopAsked = true });
        _dump.Cancel();
    }

    /// <summary>A person answers a prompt. Each prompt takes one answer, whoever is quicker.</summary>
    /// <param name="answer">Names the prompt.</param>
    /// <param name="problem">What is wrong with a reading, and what to write; null where nothing is.</param>
    public AnswerFate Answer(PersonAnswer answer, out string? problem)
    {
        problem = null;
        lock (_gate)
        {
            if (_sight.Prompt is not { WantsAnswer: true } prompt || prompt.Number != answer.Prompt)
                return _answer?.Prompt == answer.Prompt ? AnswerFate.AnsweredAlready : AnswerFate.TooLate;
            if (_answer?.Prompt == answer.Prompt)
                return AnswerFate.AnsweredAlready;
            if (prompt.WantsReading && !PointerEntry.TryRead(_sight.Job.Device, answer.Text, out _, out problem))
                return AnswerFate.NoReading;
            _answer = answer;
            return AnswerFate.Taken;
        }
    }

    public void Cycle(in BenchSnapshot bench, in RunProgress progress)
    {
        RunProgress now = progress;
        IndicationReading indication = _bench?.Session?.Indication ?? default;
        Change(sight => sight with
        {
            Progress = now,
            Indication = indication,
        });
    }

    public void Happened(RunEvent happened)
    {
        RunSight before = Look();
        switch (happened)
        {
            case RunEvent.PointRead point:
                PointResult result = RunEvaluation.EvaluatePoint(_header!, point.Point);
                _counts.Point(before.Job.Bench.Name, point.Point, result);
                Change(sight => sight with { Points = sight.Points.Add(result) });
                break;
            case RunEvent.LeakTested leak:
                Change(sight => sight with { LeakTest = leak.Result });
                break;
            case RunEvent.Ended ended:
                _ended = ended;
                break;
            case RunEvent.PhaseEntered or RunEvent.ZeroRead or RunEvent.RoomRead or RunEvent.Answered:
                break;
            default:
                throw new InvalidOperationException($"unknown event {happened}");
        }
    }

    /// <summary>The evaluated whole takes the place of what was known point by point.</summary>
    public void Conclude(RunResult result)
    {
        _counts.Run(result.Record.Bench, result.Record.Outcome);
        Result = result;
        Change(sight => sight with { Points = [.. result.Points] });
    }

    /// <summary>Ends a run that could not go on; nobody knows of its vent.</summary>
    public void Fail(string reason) => _ended ??= new RunEvent.Ended(RunOutcome.InstrumentFailure, reason, false);

    /// <summary>Its thread has let go of the bench, and its record is written: only now is it told as ended.</summary>
    public void LetGo()
    {
        _over = true;
        Change(sight => sight with { Ended = _ended });
    }

    public void Dispose()
    {
        _stop.Dispose();
        _dump.Dispose();
    }

    private void Change(Func<RunSight, RunSight> change)
    {
        lock (_gate)
            _sight = change(_sight);
    }
}
