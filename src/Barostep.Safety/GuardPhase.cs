namespace Barostep.Safety;

/// <summary>Where the guard stands; the run's own phases are the sequencer's affair.</summary>
public enum GuardPhase : byte
{
    /// <summary>Nothing is verified: the bench counts as pressurised, is isolated and dumped until the sensors prove otherwise.</summary>
    Boot,

    /// <summary>A vent was asked for and goes at the allowed rate.</summary>
    Venting,

    /// <summary>Every fitted sensor has been within the safe band of atmosphere for long enough. Proved anew every cycle.</summary>
    Safe,

    /// <summary>Every proof for making pressure held when it was last asked for.</summary>
    Permitted,

    /// <summary>A trip is latched; only an acknowledgement that names it leads on, to <see cref="Safe"/>.</summary>
    Tripped,

    /// <summary>A run was aborted or stopped, and is being vented at the allowed rate.</summary>
    Stopping,

    /// <summary>The dump valve is being tested with a little pressure: the source is shut and the valve's keep-alive has stopped.</summary>
    Testing,
}
