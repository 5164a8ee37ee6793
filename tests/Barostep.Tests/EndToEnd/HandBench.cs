using Barostep.Control;
using Barostep.Daemon.Sweeps;
using Barostep.Procedures;
using Barostep.Procedures.Prompts;
using Barostep.Records;
using Barostep.Safety;
using Barostep.Simulators;

namespace Barostep.Tests.EndToEnd;

/// <summary>The hand bench on virtual time in this process, with its simulated person, whom a test may keep from hearing.</summary>
internal sealed class HandBench : IRunWatcher
{
    private readonly SimulatedBench _simulated;
    private readonly SweepRun _run;
    private readonly SimulatedPerson _person;
    private readonly List<Prompt> _prompts = [];
    private long? _permittedMicros;

    public HandBench(SweepJob job, BenchDescription description)
    {
        _simulated = new SimulatedBench(description, seed: 1);
        _simulated.SampleTruth(100_000, truth => Highest = Math.Max(Highest, truth.PressurePa - truth.AtmospherePa));
        SafetyLimits limits = BenchSafety.LimitsFor(job.Bench, job.Device, job.Origins);
        var bench = new Bench(job.Bench, limits, SafetyState.Initial, new SafetyJournal(Journal, JournalHead.Genesis, wasLeftOpen: false));
        _run = new SweepRun(job, bench, VirtualRun.Started, _simulated.NowMicros, [this]);
        _person = new SimulatedPerson(new EmbeddedLine(_simulated.Port(SimulatedPerson.Port)), limits.Atmosphere);
    }

    /// <summary>Whether the person hears a prompt.</summary>
    public Func<Prompt, bool> Hears { get; init; } = static _ => true;

    public MemoryJournalFile Journal { get; } = new();

    /// <summary>Everything that was asked, in order.</summary>
    public IReadOnlyList<Prompt> Prompts => _prompts;

    /// <summary>Highest true pressure so far, gauge Pa.</summary>
    public double Highest { get; private set; }

    public TrueState Truth => _simulated.Truth;

    public BenchSnapshot Last { get; private set; }

    /// <summary>Whether every prompt to pump came when the guard had permitted pressure for as long as the journal may take to write it.</summary>
    public bool AskedOnlyWhenPermitted { get; private set; } = true;

    public RunRecord Run()
    {
        _run.Begin(_simulated.NowMicros);
        return new VirtualSweep(_run, _simulated).Run(CancellationToken.None, prompt => _person.Answers(prompt is not null && Hears(prompt) ? prompt : null));
    }

    public void Cycle(in BenchSnapshot bench, in RunProgress progress)
    {
        Last = bench;
        _permittedMicros = bench.Phase != GuardPhase.Permitted ? null : _permittedMicros ?? bench.NowMicros;
        if (progress.Prompt is not { } prompt)
            return;
        bool isNew = _prompts.Count == 0 || _prompts[^1].Number != prompt.Number;
        if (prompt.Kind is PromptKind.BringTo or PromptKind.BringBack && isNew && !(bench.NowMicros - _permittedMicros > 1_000_000))
            AskedOnlyWhenPermitted = false;
        if (isNew)
            _prompts.Add(prompt);
    }

    public void Happened(RunEvent happened)
    {
        // What was asked is in the progress, what was answered in the record.
    }
}
