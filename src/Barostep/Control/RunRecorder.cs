using Barostep.Procedures;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Control;

/// <summary>Gathers what a run reports into its record.</summary>
/// <param name="header">Who, what and when; what is gathered here is filled in.</param>
public sealed class RunRecorder(RunRecord header)
{
    private readonly List<ZeroRecord> _zeros = [];
    private readonly List<PointRecord> _points = [];
    private readonly List<EnvironmentReading> _room = [];
    private readonly List<AnswerRecord> _answers = [];
    private LeakTestRecord? _leakTest;
    private RunEvent.Ended? _ended;
    private Pressure _highest = Pressure.Vacuum;

    /// <summary>How the run ended; null before.</summary>
    public RunEvent.Ended? Ending => _ended;

    /// <summary>Takes note of what the sensors tell.</summary>
    public void Watch(in BenchSnapshot bench)
    {
        if (bench.Reference.IsGood)
            _highest = Pressure.Max(_highest, bench.Reference.Value);
        if (bench.SourceSensor.IsGood)
            _highest = Pressure.Max(_highest, bench.SourceSensor.Value);
    }

    /// <summary>Takes note of what happened.</summary>
    public void Take(RunEvent happened)
    {
        switch (happened)
        {
            case RunEvent.ZeroRead zero:
                _zeros.Add(zero.Zero);
                break;
            case RunEvent.LeakTested leak:
                _leakTest = leak.Result;
                break;
            case RunEvent.PointRead point:
                _points.Add(point.Point);
                break;
            case RunEvent.Answered answered:
                _answers.Add(answered.Answer);
                break;
            case RunEvent.Ended ended:
                _ended = ended;
                break;
            case RunEvent.RoomRead room:
                _room.Add(room.Reading);
                break;
            case RunEvent.PhaseEntered:
                break;
            case RunEvent.Beside:
                throw new InvalidOperationException("what happened to another device is for that device's recorder");
            default:
                throw new InvalidOperationException($"unknown event {happened}");
        }
    }

    /// <summary>The record as it stands: incomplete until the run has ended.</summary>
    public RunRecord Record(DateTimeOffset endedUtc, string journalHead) => header with
    {
        EndedUtc = endedUtc,
        Outcome = _ended?.Outcome ?? RunOutcome.Incomplete,
        OutcomeReason = _ended?.Reason ?? "the run did not end",
        VentConfirmed = _ended?.VentConfirmed ?? false,
        LeakTest = _leakTest,
        Environment = [.. header.Environment, .. _room],
        Zeros = [.. _zeros],
        Points = [.. _points],
        Answers = [.. _answers],
        HighestPascals = _highest.Pascals,
        JournalHead = journalHead,
    };
}
