using Barostep.Safety;

namespace Barostep.Tests.Faults;

/// <summary>What a bench with a fault left behind.</summary>
/// <param name="Case">The fault.</param>
/// <param name="FedByFault">Whether the fault itself feeds the gas or keeps it in.</param>
/// <param name="Truth">Of the simulated gas, from the start to the end.</param>
/// <param name="FaultAtSeconds">When the fault began, on the truth's clock.</param>
/// <param name="ToldUnconfirmed">Whether some program told that the bench was not seen depressurised while the fault lasted.</param>
/// <param name="AllowedPascals">The worst case that physics and the stated delays allow, Pa absolute.</param>
/// <param name="Journal">The guard's journal, file after file.</param>
/// <param name="JournalFault">The first thing wrong with it; null where all is intact.</param>
/// <param name="Replay">Of the journal.</param>
/// <param name="Telling">Everything that the programs told people.</param>
/// <param name="Guard">The guard's end; null where it had been killed and not started again.</param>
/// <param name="Sweep">The sweep's end; null where there was none, or it was killed.</param>
internal sealed record FaultRun(
    string Case,
    bool FedByFault,
    List<TrueMoment> Truth,
    double FaultAtSeconds,
    bool ToldUnconfirmed,
    double AllowedPascals,
    List<JournalEntry> Journal,
    JournalFault? JournalFault,
    ReplayResult Replay,
    string Telling,
    Finished? Guard,
    Finished? Sweep)
{
    /// <summary>What the bench may differ from the atmosphere by and still count as vented: the guard's own band. Pa.</summary>
    public const double VentedPascals = 1_000;

    /// <summary>What only a wish for pressure brings about. Pa gauge.</summary>
    private const double PressurisedPascals = 20_000;

    /// <summary>What vented gas that warms up again, or flows against an open dump valve, may come back to. Pa gauge.</summary>
    private const double ComesBackPascals = 20_000;

    public List<TrueMoment> AfterFault => Truth.FindAll(moment => moment.Seconds > FaultAtSeconds);

    /// <summary>Everything that the guard gave as a cause in any cycle.</summary>
    public CauseSet Causes => Journal.Where(entry => entry.Kind == JournalKind.Tick)
        .Aggregate(CauseSet.Empty, (causes, tick) => causes | tick.ReadDecision().Causes);

    public IEnumerable<JournalPayload> Payloads(JournalKind kind) =>
        Journal.Where(entry => entry.Kind == kind).Select(entry => entry.ReadPayload());

    /// <summary>What must hold whatever the fault was; one sentence for each thing that does not.</summary>
    public IEnumerable<string> Violations()
    {
        double highest = Truth.Max(moment => moment.PressurePascals);
        if (highest > AllowedPascals)
            yield return $"the gas reached {highest:F0} Pa, the worst case is {AllowedPascals:F0} Pa";
        TrueMoment last = Truth[^1];
        if (Math.Abs(last.PressurePascals - last.AtmospherePascals) > VentedPascals && !ToldUnconfirmed)
            yield return $"the bench was left at {last.BarGauge:F3} bar and nobody was told";
        if (!FedByFault && CameBack() is { } again)
            yield return $"after the vent the gas came back to {again.BarGauge:F3} bar at {again.Seconds:F2} s";
        if (JournalFault is not null)
            yield return $"the journal is not intact: {JournalFault.Message}";
        if (!Replay.IsComplete || Replay.Replayed == 0)
            yield return $"the journal does not replay: {Replay}";
        if (highest - last.AtmospherePascals > PressurisedPascals && !Journal.Exists(entry => entry.Kind == JournalKind.Raise))
            yield return "pressure was made without a word in the journal";
        if (Telling.Contains("   at ", StringComparison.Ordinal) || Telling.Contains("Unhandled exception", StringComparison.Ordinal))
            yield return "people were shown the program's insides";
    }

    public void Verify()
    {
        string[] violations = [.. Violations()];
        Assert.True(violations.Length == 0, $"{Case}:\n{string.Join('\n', violations)}\n{Telling}");
    }

    /// <summary>The first moment at which there was pressure again after the fault had ended in a vent; null where there was none.</summary>
    private TrueMoment? CameBack()
    {
        List<TrueMoment> after = AfterFault;
        int vented = after.FindIndex(moment => moment.PressurePascals - moment.AtmospherePascals < VentedPascals);
        int again = vented < 0 ? -1 : after.FindIndex(vented, moment => moment.PressurePascals - moment.AtmospherePascals > ComesBackPascals);
        return again < 0 ? null : after[again];
    }
}
