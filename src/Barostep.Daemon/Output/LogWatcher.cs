using Barostep.Control;
using Barostep.Daemon.Sweeps;
using Barostep.Procedures;
using Barostep.Safety;
using Microsoft.Extensions.Logging;

namespace Barostep.Daemon.Output;

/// <summary>Writes a run's phases and the kernel's findings to the log.</summary>
internal sealed class LogWatcher(ILogger log) : IRunWatcher
{
    private CauseSet _shown;

    public void Cycle(in BenchSnapshot bench, in RunProgress progress)
    {
        if (bench.Causes == _shown)
            return;
        _shown = bench.Causes;
        LogLevel level = bench.Verdict >= Verdict.Abort ? LogLevel.Warning : LogLevel.Information;
        log.Log(level, "Verdict {Verdict}, causes {Causes}, guard {Phase}", bench.Verdict, bench.Causes, bench.Phase);
    }

    public void Happened(RunEvent happened) => log.LogInformation("{Event}", happened switch
    {
        RunEvent.PhaseEntered entered => $"phase {entered.Phase}",
        RunEvent.PointRead point => $"point {point.Point.Index} read, marks {point.Point.Marks}",
        RunEvent.ZeroRead => "zero read",
        RunEvent.LeakTested leak => $"leak test {leak.Result.RatePascalsPerSecond:F3} Pa/s, limit {leak.Result.LimitPascalsPerSecond:F3} Pa/s",
        RunEvent.Answered answered => $"{answered.Answer.Who} answered '{answered.Answer.Answer}' to: {answered.Answer.Asked}",
        RunEvent.Ended ended => $"ended {ended.Outcome} {ended.Reason}, vent confirmed {ended.VentConfirmed}",
        _ => happened.ToString(),
    });
}
