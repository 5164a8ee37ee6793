using Barostep.Control;
using Barostep.Procedures.Prompts;
using Barostep.Records;
using Barostep.Safety;
using Barostep.Simulators;

namespace Barostep.Daemon.Sweeps;

/// <summary>Runs a sweep on a simulated bench in memory, on virtual time, on the calling thread.</summary>
internal sealed class VirtualSweep
{
    private readonly SimulatedBench _simulated;
    private readonly SweepRun _run;
    private readonly EmbeddedLines _lines;
    private readonly long _periodMicros;

    public VirtualSweep(SweepRun run, SimulatedBench simulated)
    {
        _run = run;
        _simulated = simulated;
        _periodMicros = run.Bench.Definition.PeriodMicros;
        _lines = new EmbeddedLines(run.Bench.Lines, simulated);
    }

    /// <summary>Runs to the end.</summary>
    /// <param name="stop">A person's wish to end the run; it is vented like any other.</param>
    /// <param name="answers">What a person answers to what is asked now; null for a person who confirms everything.</param>
    public RunRecord Run(CancellationToken stop, Func<Prompt?, PersonAnswer?>? answers = null)
    {
        long nextCycle = _simulated.NowMicros;
        bool stopShown = false;
        while (!_run.Ended)
        {
            long now = Math.Max(_simulated.NowMicros, Math.Min(nextCycle, Math.Min(_simulated.NextEventMicros, _lines.NextCallMicros)));
            _simulated.AdvanceTo(now);
            _lines.Advance(now);
            // At every time, not only in a cycle: whoever answers has a line too, and bytes that wait stop the clock.
            PersonAnswer? answer = answers?.Invoke(_run.Bench.Session?.Prompt);
            if (now < nextCycle)
                continue;
            PersonRequest person = stop.IsCancellationRequested && !stopShown ? PersonRequest.Stop : PersonRequest.None;
            stopShown |= person.Kind == PersonRequestKind.Stop;
            if (answers is null)
                _run.Cycle(now, person, confirmed: true);
            else
                _run.Cycle(now, person, answer);
            _lines.Advance(now);
            nextCycle += _periodMicros;
        }

        return _run.Finish(_simulated.NowMicros);
    }
}
