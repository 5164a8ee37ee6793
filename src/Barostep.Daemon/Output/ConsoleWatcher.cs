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

    private readonly TextWriter progress;
    private readonly ResultTable? table;
    private readonly PressureText text;
    private readonly Configuration.DeviceDefinition device;
    private readonly bool interactive;
    private readonly TimeProvider time;
    private long lastDrawn;
    private int drawnWidth;
    private int shownStep;
    private Verdict shownVerdict;
    private RunPhase phase = RunPhase.Idle;

    /// <param name="device">What is calibrated.</param>
    /// <param name="atmosphere">What gauge values count from.</param>
    /// <param name="table">Receives a row a point; null where nobody reads a table.</param>
    /// <param name="progress">Receives how it goes.</param>
    /// <param name="interactive">Whether a line there may be drawn over.</param>
    /// <param name="time">For the pace of redrawing.</param>
    public ConsoleWatcher(
        Configuration.DeviceDefinition device,
        Pressure atmosphere,
        ResultTable? table,
        TextWriter progress,
        bool interactive,
        TimeProvider time)
    {
        this.device = device;
        this.table = table;
        this.progress = progress;
        this.interactive = interactive;
        this.time = time;
        text = new PressureText(device, atmosphere);
    }

    public void Cycle(in BenchSnapshot bench, in RunProgress run)
    {
        if (bench.Verdict > shownVerdict && bench.Verdict >= Verdict.Hold)
            Say($"{bench.Verdict.ToString().ToLowerInvariant()}: {string.Join(' ', Sentences(bench.Causes | Latched(bench)))}");
        shownVerdict = bench.Verdict;
        if (interactive)
            Draw(bench, run);
        else if (run.Step != shownStep && run.Phase is not (RunPhase.Idle or RunPhase.Venting or RunPhase.Stepping))
            Say($"step {run.Step} of {run.Steps}: {Words(run.Phase)}, {text.Full(run.Target)}, {TimeLeft(run.TimeLeftMicros)} left");
        if (run.Phase is not (RunPhase.Idle or RunPhase.Venting or RunPhase.Stepping))
            shownStep = run.Step;
    }

    public void Happened(RunEvent happened)
    {
        switch (happened)
        {
            case RunEvent.PointRead point:
                Erase();
                table?.WriteRow(RunEvaluation.EvaluatePoint(device, point.Point));
                break;
            case RunEvent.LeakTested leak:
                double perMinute = leak.Result.RatePascalsPerSecond * 60 / device.Unit.PascalsAsDouble;
                Say(string.Create(
                    CultureInfo.InvariantCulture,
                    $"leak test: {perMinute:+0.0000;-0.0000} {device.Unit}/min, {(leak.Result.Tight ? "tight" : "not tight")}"));
                break;
            case RunEvent.PhaseEntered entered:
                phase = entered.Phase;
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
        if (time.GetElapsedTime(lastDrawn) < RedrawEvery)
            return;
        lastDrawn = time.GetTimestamp();
        string pressure = bench.Reference.IsGood ? text.Full(bench.Reference.Value) : "no reading";
        string line = $"{Words(phase),-26} {pressure,16}  target {text.Number(run.Target)}  ceiling {text.Number(bench.EffectiveCeiling)}"
            + $"  point {Math.Min(run.PointsRead + 1, run.Points)}/{run.Points}  {TimeLeft(run.TimeLeftMicros)} left";
        progress.Write('\r' + line.PadRight(drawnWidth));
        progress.Flush();
        drawnWidth = line.Length;
    }

    private void Erase()
    {
        if (drawnWidth == 0)
            return;
        progress.Write('\r' + new string(' ', drawnWidth) + '\r');
        progress.Flush();
        drawnWidth = 0;
    }

    private void Say(string what)
    {
        Erase();
        progress.WriteLine(what);
    }
}
