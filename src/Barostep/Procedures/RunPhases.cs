using Stateless;
using Stateless.Graph;

namespace Barostep.Procedures;

/// <summary>What moves a run from one phase to the next.</summary>
public enum RunTrigger
{
    Start,
    Vented,
    BeginConfirmation,
    Confirmed,
    BeginZero,
    BeginPreload,
    BeginLeakTest,
    BeginPoint,
    BeginRamp,
    TargetReached,
    Settled,
    SettleTimeout,
    Overshot,
    SamplesTaken,
    Disturbed,
    StepDone,
    VentForStep,
    EndRun,
    Stop,
    Abort,
    Trip,
    RunCompleted,
    RunAborted,
}

/// <summary>The table of phases. The diagram in <c>docs/run-phases.md</c> is drawn from it.</summary>
/// <remarks>The phase is held by the caller, so that a step of the sequencer stays a pure call.</remarks>
public sealed class RunPhases
{
    private readonly StateMachine<RunPhase, RunTrigger> _machine;
    private RunPhase _phase;

    public RunPhases()
    {
        _machine = new StateMachine<RunPhase, RunTrigger>(() => _phase, p => _phase = p);

        Interruptible(RunPhase.Idle)
            .Permit(RunTrigger.Start, RunPhase.Venting);

        Interruptible(RunPhase.Venting)
            .Permit(RunTrigger.Vented, RunPhase.Stepping)
            .Permit(RunTrigger.RunCompleted, RunPhase.Completed)
            .Permit(RunTrigger.RunAborted, RunPhase.Aborted);

        Interruptible(RunPhase.Stepping)
            .Permit(RunTrigger.BeginConfirmation, RunPhase.WaitingForOperator)
            .Permit(RunTrigger.BeginZero, RunPhase.Zeroing)
            .Permit(RunTrigger.BeginPreload, RunPhase.Preloading)
            .Permit(RunTrigger.BeginLeakTest, RunPhase.LeakTesting)
            .Permit(RunTrigger.BeginPoint, RunPhase.Pressurising)
            .Permit(RunTrigger.BeginRamp, RunPhase.Ramping)
            .Permit(RunTrigger.VentForStep, RunPhase.Venting)
            .Permit(RunTrigger.EndRun, RunPhase.Venting);

        Interruptible(RunPhase.WaitingForOperator)
            .Permit(RunTrigger.Confirmed, RunPhase.Stepping);

        Interruptible(RunPhase.Zeroing)
            .Permit(RunTrigger.SamplesTaken, RunPhase.Stepping);

        Interruptible(RunPhase.Preloading)
            .Permit(RunTrigger.StepDone, RunPhase.Stepping);

        Interruptible(RunPhase.LeakTesting)
            .Permit(RunTrigger.StepDone, RunPhase.Stepping);

        Interruptible(RunPhase.Pressurising)
            .Permit(RunTrigger.TargetReached, RunPhase.Settling)
            .Permit(RunTrigger.Overshot, RunPhase.Stepping)
            .Permit(RunTrigger.SettleTimeout, RunPhase.Reading);

        Interruptible(RunPhase.Settling)
            .Permit(RunTrigger.Settled, RunPhase.Reading)
            .Permit(RunTrigger.SettleTimeout, RunPhase.Reading)
            .Permit(RunTrigger.Overshot, RunPhase.Stepping);

        Interruptible(RunPhase.Reading)
            .Permit(RunTrigger.SamplesTaken, RunPhase.Stepping)
            .Permit(RunTrigger.Disturbed, RunPhase.Settling)
            .Permit(RunTrigger.Overshot, RunPhase.Stepping)
            .PermitReentry(RunTrigger.SettleTimeout);

        Interruptible(RunPhase.Ramping)
            .Permit(RunTrigger.StepDone, RunPhase.Stepping);

        _machine.Configure(RunPhase.Completed);
        _machine.Configure(RunPhase.Aborted);
        _machine.Configure(RunPhase.Tripped);
    }

    /// <summary>The phase that follows.</summary>
    /// <exception cref="InvalidOperationException">The table has no such transition: a bug, not an event of the bench.</exception>
    public RunPhase Next(RunPhase from, RunTrigger trigger)
    {
        _phase = from;
        _machine.Fire(trigger);
        return _phase;
    }

    /// <summary>The table as a Mermaid state diagram.</summary>
    public string ToMermaid()
    {
        _phase = RunPhase.Idle;
        return MermaidGraph.Format(_machine.GetInfo());
    }

    private StateMachine<RunPhase, RunTrigger>.StateConfiguration Interruptible(RunPhase phase)
    {
        StateMachine<RunPhase, RunTrigger>.StateConfiguration configured = _machine.Configure(phase)
            .Permit(RunTrigger.Trip, RunPhase.Tripped);
        return phase == RunPhase.Venting
            ? configured.PermitReentry(RunTrigger.Stop).PermitReentry(RunTrigger.Abort)
            : configured.Permit(RunTrigger.Stop, RunPhase.Venting).Permit(RunTrigger.Abort, RunPhase.Venting);
    }
}
