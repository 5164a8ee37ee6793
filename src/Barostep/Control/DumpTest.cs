using Barostep.Safety;

namespace Barostep.Control;

/// <summary>How the test of the dump valve before a run stands.</summary>
public enum DumpTestState : byte
{
    /// <summary>The bench has no valve to test, or it was tested less than ten minutes ago.</summary>
    NotNeeded,

    /// <summary>It is due or goes on.</summary>
    Running,

    Passed,

    /// <summary>The guard did not allow even the test's pressure.</summary>
    Denied,

    /// <summary>The test's pressure was not reached in time.</summary>
    NotReached,

    /// <summary>The pressure fell before the valve was let go.</summary>
    Leaks,

    /// <summary>The kernel ended it; its causes say why.</summary>
    Ended,
}

/// <summary>
/// Takes a bench through the test of its dump valve at the start of a run (SR-34): a little pressure, the source shut, a
/// look whether it keeps, the valve let go. The kernel judges the fall; this only asks for one thing after the other.
/// </summary>
internal sealed class DumpTest
{
    private const long DeniedMicros = 10_000_000;

    private const long ReachWithinMicros = 60_000_000;

    /// <summary>How long the pressure is looked at, at its set point and then with the source shut.</summary>
    private const long LookMicros = 1_000_000;

    private Stage _stage = Stage.None;
    private long _stageMicros;
    private long _permittedMicros;
    private long _awayMicros;
    private long _shutAtRise;

    private enum Stage
    {
        None,
        Due,
        Filling,
        Shut,
        LetGo,
    }

    public DumpTestState State { get; private set; }

    /// <summary>A run begins.</summary>
    public void Begin(in SafetyState kernel, SafetyLimits limits, long nowMicros)
    {
        // With half of its time left, it cannot run out before the run's first pressure.
        bool isFresh = kernel.SelfTestPassed && nowMicros - kernel.SelfTestedMicros < limits.SelfTestValidMicros / 2;
        bool isNeeded = limits.SelfTestRise.MilliPascals > 0 && !isFresh;
        State = isNeeded ? DumpTestState.Running : DumpTestState.NotNeeded;
        _stage = isNeeded ? Stage.Due : Stage.None;
    }

    /// <summary>A run ended; a test that was going on with it.</summary>
    public void Cancel()
    {
        State = DumpTestState.NotNeeded;
        _stage = Stage.None;
    }

    /// <summary>What is asked of the kernel in place of what the run asks for, which is nothing as long as the test goes on.</summary>
    public Intent Steer(in Intent wanted, in SafetyState kernel, SafetyLimits limits, in SensorReading reference, long nowMicros)
    {
        if (State != DumpTestState.Running || wanted.Kind != IntentKind.Vent)
            return wanted;
        if (_stage == Stage.Due && kernel.Phase == GuardPhase.Safe)
            Enter(Stage.Filling, nowMicros);
        Follow(kernel, limits, reference, nowMicros);
        if (State != DumpTestState.Running)
            return wanted;
        return _stage switch
        {
            Stage.Filling => wanted with
            {
                Kind = IntentKind.Pressurise,
                Target = limits.Atmosphere + limits.SelfTestRise,
                RateMilliPascalsPerSecond = limits.MaxRateMilliPascalsPerSecond,
            },
            Stage.Shut => wanted with { Kind = IntentKind.Isolate },
            Stage.LetGo => wanted with { Kind = IntentKind.TestDump },
            _ => wanted,
        };
    }

    /// <summary>Looks at what the kernel made of it.</summary>
    public void Judge(in SafetyState kernel)
    {
        if (State != DumpTestState.Running || _stage is Stage.None or Stage.Due)
            return;
        if (_stage == Stage.LetGo && kernel.SelfTestPassed && kernel.SelfTestedMicros >= _stageMicros)
            State = DumpTestState.Passed;
        else if (!kernel.Latched.IsEmpty)
            State = DumpTestState.Ended;
    }

    private void Follow(in SafetyState kernel, SafetyLimits limits, in SensorReading reference, long nowMicros)
    {
        switch (_stage)
        {
            case Stage.Filling:
                Fill(kernel, limits, reference, nowMicros);
                break;
            case Stage.Shut when reference.IsGood && nowMicros - _stageMicros >= LookMicros:
                // A quarter in a second is no tight bench, and its fall would prove nothing of the valve.
                if (Rise(reference, limits) < _shutAtRise * 3 / 4)
                    State = DumpTestState.Leaks;
                else
                    Enter(Stage.LetGo, nowMicros);
                break;
            default:
                break;
        }
    }

    private void Fill(in SafetyState kernel, SafetyLimits limits, in SensorReading reference, long nowMicros)
    {
        bool isPermitted = kernel.Phase == GuardPhase.Permitted;
        long rise = Rise(reference, limits);
        bool isThere = isPermitted && reference.IsGood
            && Math.Abs(rise - limits.SelfTestRise.MilliPascals) <= limits.SelfTestRise.MilliPascals / 8;
        _permittedMicros = isPermitted ? nowMicros : _permittedMicros;
        _awayMicros = isThere ? _awayMicros : nowMicros;
        if (nowMicros - _awayMicros >= LookMicros)
        {
            _shutAtRise = rise;
            Enter(Stage.Shut, nowMicros);
        }
        else if (nowMicros - _permittedMicros > DeniedMicros)
        {
            State = DumpTestState.Denied;
        }
        else if (nowMicros - _stageMicros > ReachWithinMicros)
        {
            State = DumpTestState.NotReached;
        }
    }

    private void Enter(Stage stage, long nowMicros) =>
        (_stage, _stageMicros, _permittedMicros, _awayMicros) = (stage, nowMicros, nowMicros, nowMicros);

    private static long Rise(in SensorReading reference, SafetyLimits limits) =>
        (reference.Value - limits.Atmosphere).MilliPascals;
}
