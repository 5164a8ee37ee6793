using Barostep.Control;
using Barostep.Instruments;
using Barostep.Records;
using Barostep.Safety;
using Barostep.Simulators;

namespace Barostep.Daemon.Sweeps;

/// <summary>Runs a sweep on a simulated bench in memory, on virtual time, on the calling thread.</summary>
internal sealed class VirtualSweep
{
    private readonly SimulatedBench _simulated;
    private readonly SweepRun _run;
    private readonly (LineTurns Turns, IByteLine Line)[] _lines;
    private readonly long[] _deadlines;
    private readonly long _periodMicros;

    public VirtualSweep(SweepRun run, SimulatedBench simulated)
    {
        _run = run;
        _simulated = simulated;
        _periodMicros = run.Bench.Definition.PeriodMicros;
        _lines = [.. run.Bench.Lines.GroupBy(driver => driver.Fitted.Port)
            .Select(shared => (new LineTurns([.. shared]), (IByteLine)new EmbeddedLine(simulated.Port(shared.Key))))];
        _deadlines = new long[_lines.Length];
    }

    /// <summary>Runs to the end.</summary>
    /// <param name="stop">A person's wish to end the run; it is vented like any other.</param>
    public RunRecord Run(CancellationToken stop)
    {
        long nextCycle = _simulated.NowMicros;
        bool stopShown = false;
        while (!_run.Ended)
        {
            long now = Math.Max(_simulated.NowMicros, Math.Min(nextCycle, Math.Min(_simulated.NextEventMicros, _deadlines.Min())));
            _simulated.AdvanceTo(now);
            AdvanceLines(now);
            if (now < nextCycle)
                continue;
            PersonRequest person = stop.IsCancellationRequested && !stopShown ? PersonRequest.Stop : PersonRequest.None;
            stopShown |= person.Kind == PersonRequestKind.Stop;
            _run.Cycle(now, person, confirmed: true);
            AdvanceLines(now);
            nextCycle += _periodMicros;
        }

        return _run.Finish(_simulated.NowMicros);
    }

    private void AdvanceLines(long now)
    {
        for (int i = 0; i < _lines.Length; i++)
            _deadlines[i] = _lines[i].Turns.Advance(now, _lines[i].Line);
    }
}
