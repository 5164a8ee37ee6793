namespace Barostep.Safety;

/// <summary>The guard's phase follows from the verdict; nothing but a proof leads to a milder one.</summary>
internal static class Phases
{
    public static GuardPhase Next(GuardPhase phase, Verdict verdict, in Intent intent, bool safe, bool permitted, bool tested)
    {
        if (verdict >= Verdict.Trip)
            return GuardPhase.Tripped;
        if (verdict == Verdict.Abort)
            return phase is GuardPhase.Boot or GuardPhase.Tripped ? GuardPhase.Boot : GuardPhase.Stopping;

        bool wantsPressure = intent.Kind is IntentKind.Pressurise or IntentKind.Isolate;
        return phase switch
        {
            GuardPhase.Safe when safe => wantsPressure && permitted ? GuardPhase.Permitted : GuardPhase.Safe,
            GuardPhase.Boot or GuardPhase.Safe or GuardPhase.Tripped or GuardPhase.Stopping => safe ? GuardPhase.Safe : GuardPhase.Boot,
            GuardPhase.Venting when wantsPressure && permitted => GuardPhase.Permitted,
            GuardPhase.Venting => safe ? GuardPhase.Safe : GuardPhase.Venting,
            GuardPhase.Permitted => intent.Kind switch
            {
                IntentKind.Vent => GuardPhase.Venting,
                IntentKind.TestDump => GuardPhase.Testing,
                _ => GuardPhase.Permitted,
            },
            // Whatever ends a test, the bench is vented after it.
            GuardPhase.Testing => intent.Kind == IntentKind.TestDump && !tested ? GuardPhase.Testing : GuardPhase.Venting,
            _ => GuardPhase.Boot,
        };
    }
}
