using System.Globalization;
using Barostep.Control;
using Barostep.Daemon.Sweeps;
using Barostep.Evaluation;
using Barostep.Procedures;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Daemon.Output;

/// <summary>Shows a run to the person at the terminal: the table grows on one stream, how it goes is told on the other.</summary>
internal sealed class ConsoleWatcher : IRunWatcher
{
    /// <summary>A line that changes more often cannot be read, and drawing it would take longer than the run.</summary>
    private static readonly TimeSpan RedrawEvery = TimeSpan.FromMilliseconds(100);

    private readonly TextWriter _progress;
    private readonly ResultTable? _table;
    private readonly RunRecord _run;
    private readonly PressureText _text;
    private readonly Configuration.DeviceDefinition _device;
    private readonly bool _interactive;
    private readonly TimeProvider _time;
    private long _lastDrawn;
    private int _drawnWidth;
    private int _shownStep;
    private int _shownPrompt;
    private Verdict _shownVerdict;
    private RunPhase _phase = RunPhase.Idle;

    /// <param name="run">The run before its first cycle.</param>
    /// <param name="atmosphere">What gauge values count from.</param>
    /// <param name="table">Receives a row a point; null where nobody reads a table.</param>
    /// <param name="progress">Receives how it goes.</param>
    /// <param name="interactive">Whether a line there may be drawn over.</param>
    /// <param name="time">For the pace of redrawing.</param>
    public ConsoleWatcher(
        RunRecord run,
        Pressure atmosphere,
        ResultTable? table,
        TextWriter progress,
        bool interactive,
        TimeProvider time)
    {
        _run = run;
        _device = run.Device;
        _table = table;
        _progress = progress;
        _interactive = interactive;
        _time = time;
        _text = new PressureText(run.Device, atmosphere);
    }

    public void Cycle(in BenchSnapshot bench, in RunProgress run)
    {
        if (bench.Verdict > _shownVerdict && bench.Verdict >= Verdict.Hold)
            Say($"{bench.Verdict.ToString().ToLowerInvariant()}: {string.Join(' ', Sentences(bench.Causes | Latched(bench)))}");
        _shownVerdict = bench.Verdict;
        if (_interactive)
            Draw(bench, run);
        else if (run.Step != _shownStep && run.Phase is not (RunPhase.Idle or RunPhase.Venting or RunPhase.Stepping))
            Say($"step {run.Step} of {run.Steps}: {Words(run.Phase)}, {_text.Full(run.Target)}, {TimeLeft(run.TimeLeftMicros)} left");
        if (run.Phase is not (RunPhase.Idle or RunPhase.Venting or RunPhase.Stepping))
            _shownStep = run.Step;
        if (run.Prompt is not { } prompt || prompt.Number == _shownPrompt)
            return;
        _shownPrompt = prompt.Number;
        Say($"> {prompt.Text}");
    }

    public void Happened(RunEvent happened)
    {
        switch (happened)
        {
            case RunEvent.PointRead point:
                Erase();
                _table?.WriteRow(RunEvaluation.EvaluatePoint(_run, point.Point));
                break;
            case RunEvent.LeakTested leak:
                double perMinute = leak.Result.RatePascalsPerSecond * 60 / _device.Unit.PascalsAsDouble;
                Say(string.Create(
                    CultureInfo.InvariantCulture,
                    $"leak test: {perMinute:+0.0000;-0.0000} {_device.Unit}/min, {(leak.Result.Tight ? "tight" : "not tight")}"));
                break;
            case RunEvent.PhaseEntered entered:
                _phase = entered.Phase;
                break;
            case RunEvent.Answered answered:
                string who = answered.Answer.Who.Length == 0 ? string.Empty : $"   ({answered.Answer.Who})";
                Say($"< {(answered.Answer.Answer.Length == 0 ? "done" : answered.Answer.Answer)}{who}");
                break;
            case RunEvent.Ended ended:
                Erase();
                if (ended.Reason.Length > 0)
                    Say(ended.Reason);
                Say(ended.VentConfirmed
                    ? "bench vented, as its sensors tell; look at a gauge before opening a fitting"
                    : "it could NOT be confirmed that the bench is vented: look at a gauge, use the manual vent");
                break;
            case RunEvent.ZeroRead:
            case RunEvent.RoomRead:
            case RunEvent.Beside:
                break;
            default:
                throw new InvalidOperationException($"unknown event {happened}");
        }
    }

    private static CauseSet Latched(in BenchSnapshot bench) => CauseSet.Of(bench.FirstCause);

    private static List<string> Sentences(CauseSet causes)
    {
        var sentences = new List<string>();
        foreach (Cause cause in causes)
            sentences.Add(CausePolicy.Of(cause).What);
        return sentences;
    }

    private static string Words(RunPhase phase) => phase switch
    {
        RunPhase.Idle => "waiting for the instruments",
        RunPhase.Preloading => "preloading",
        RunPhase.Zeroing => "reading the zero",
        RunPhase.LeakTesting => "testing for leaks",
        RunPhase.Pressurising => "pressurising",
        RunPhase.Settling => "settling",
        RunPhase.Reading => "reading",
        RunPhase.Ramping => "ramping to the contact's change",
        RunPhase.Stepping => "stepping",
        RunPhase.Venting => "venting",
        RunPhase.WaitingForOperator => "waiting for the operator",
        RunPhase.Completed => "completed",
        RunPhase.Aborted => "aborted",
        RunPhase.Tripped => "tripped, venting",
        _ => throw new ArgumentOutOfRangeException(nameof(phase)),
    };

    private static string TimeLeft(long micros)
    {
        TimeSpan left = TimeSpan.FromMicroseconds(micros);
        return left.TotalMinutes >= 1 ? $"{Math.Ceiling(left.TotalMinutes):0} min" : $"{Math.Ceiling(left.TotalSeconds):0} s";
    }

    private void Draw(in BenchSnapshot bench, in RunProgress run)
    {
        if (_time.GetElapsedTime(_lastDrawn) < RedrawEvery)
            return;
        _lastDrawn = _time.GetTimestamp();
        string pressure = bench.Reference.IsGood ? _text.Full(bench.Reference.Value) : "no reading";
        string line = $"{Words(_phase),-26} {pressure,16}  target {_text.Number(run.Target)}  ceiling {_text.Number(bench.EffectiveCeiling)}"
            + $"  point {Math.Min(run.PointsRead + 1, run.Points)}/{run.Points}  {TimeLeft(run.TimeLeftMicros)} left";
        _progress.Write('\r' + line.PadRight(_drawnWidth));
        _progress.Flush();
        _drawnWidth = line.Length;
    }

    private void Erase()
    {
        if (_drawnWidth == 0)
            return;
        _progress.Write('\r' + new string(' ', _drawnWidth) + '\r');
        _progress.Flush();
        _drawnWidth = 0;
    }

    private void Say(string what)
    {
        Erase();
        _progress.WriteLine(what);
    }
}
