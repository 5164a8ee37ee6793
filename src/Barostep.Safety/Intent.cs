namespace Barostep.Safety;

/// <summary>What the sequencer half may ask of the guard half.</summary>
public enum IntentKind : byte
{
    /// <summary>Nothing is wanted; a source that holds pressure is not told to vent by this alone.</summary>
    None,

    /// <summary>Bring the pressure to <see cref="Intent.Target"/> no faster than the rate, and hold it there.</summary>
    Pressurise,

    /// <summary>Close the source's outlet and leave the pressure to itself, as for a leak test.</summary>
    Isolate,

    /// <summary>Vent at the allowed rate; the run goes on afterwards.</summary>
    Vent,

    /// <summary>The run is given up (it did not settle, a reading made no sense): vent at the allowed rate and end it.</summary>
    Abort,

    /// <summary>Let go of the dump valve and see the pressure fall. Only the guard half asks for it, before a run.</summary>
    TestDump,
}

/// <summary>One request from the sequencer half, renewed every cycle; one that is not renewed lapses.</summary>
/// <param name="Epoch">Counts sequencer starts; an intent of an older epoch is void.</param>
/// <param name="Sequence">Strictly increasing within an epoch.</param>
/// <param name="Kind">What is wanted.</param>
/// <param name="Target">The set point, absolute; ignored unless <paramref name="Kind"/> is <see cref="IntentKind.Pressurise"/>.</param>
/// <param name="RateMilliPascalsPerSecond">Largest rate of change towards the target; ignored likewise.</param>
/// <param name="IssuedMicros">When it was issued, on the monotonic clock.</param>
public readonly record struct Intent(
    uint Epoch,
    uint Sequence,
    IntentKind Kind,
    Pressure Target,
    long RateMilliPascalsPerSecond,
    long IssuedMicros);
