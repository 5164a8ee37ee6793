using Barostep.Control;
using Barostep.Daemon.Sweeps;
using Barostep.Instruments;
using Barostep.Safety;
using Barostep.Simulators;

namespace Barostep.Daemon.Benchmarks;

/// <summary>What became of one random bench whose fill was put wide open.</summary>
/// <param name="Path">What had to notice.</param>
/// <param name="Reached">Whether the ceiling was crossed at all; a trial that did not get there says nothing.</param>
/// <param name="PeakPascals">Highest true pressure, Pa absolute.</param>
/// <param name="WorstPascals">What was predicted for that path.</param>
/// <param name="CeilingPascals">The ceiling.</param>
/// <param name="Cause">First cause of the trip.</param>
public sealed record OvershootOutcome(TripPath Path, bool Reached, double PeakPascals, double WorstPascals, double CeilingPascals, Cause Cause)
{
    /// <summary>Rise above the ceiling as a share of the predicted one.</summary>
    public double Share => (PeakPascals - CeilingPascals) / (WorstPascals - CeilingPascals);
}

/// <summary>Runs the guard half on a simulated bench, on virtual time, until a fill put wide open was stopped.</summary>
/// <remarks>
/// The source's own sensor is made to read low at a random moment of the rise, so that the source fills at full opening
/// and still obeys. For the stale path the reference falls silent besides, shortly before the ceiling. Cycles come as
/// late as the bench's file allows, at random.
/// </remarks>
internal sealed class OvershootTrial : IDisposable
{
    private const long LongestRiseMicros = 60_000_000;

    /// <summary>Before its first conversion an instrument says that it is over its range, which trips.</summary>
    private const long FirstConversionMicros = 200_000;

    private readonly RandomBench _bench;
    private readonly TripPath _path;
    private readonly Random _random;
    private readonly SimulatedBench _simulated;
    private readonly GuardHalf _guard;
    private readonly SafetyJournal _journal = new(new MemoryJournalFile(), JournalHead.Genesis, wasLeftOpen: false);
    private readonly (InstrumentDriver Driver, IByteLine Line)[] _lines;
    private readonly long[] _deadlines;
    private readonly double _ceiling;
    private readonly double _silentFrom;
    private uint _sequence;
    private long _risingSince;
    private long _openAt = long.MaxValue;
    private bool _isOpen;
    private bool _isSilent;
    private double _peak;
    private BenchSnapshot _snapshot;

    private OvershootTrial(RandomBench bench, TripPath path, Random random)
    {
        _bench = bench;
        _path = path;
        _random = random;
        _simulated = new SimulatedBench(bench.Description, (ulong)random.NextInt64());
        InstrumentDriver source = new(bench.Definition.Source!);
        InstrumentDriver reference = new(bench.Definition.Reference);
        _guard = new GuardHalf(bench.Limits, SafetyState.Initial, source, reference, bench.Definition.PeriodMicros, _journal);
        _lines = [.. new[] { source, reference }.Select(driver => (driver, (IByteLine)new EmbeddedLine(_simulated.Port(driver.Fitted.Port))))];
        _deadlines = new long[_lines.Length];
        _ceiling = bench.Limits.EffectiveCeiling.Pascals;
        _silentFrom = _ceiling - (random.NextDouble() * 0.1 * bench.Report.MaximumRatePascalsPerSecond);
        _simulated.SampleTruth(1000, truth => _peak = Math.Max(_peak, truth.PressurePa));
    }

    /// <summary>Runs one bench.</summary>
    /// <param name="bench">The bench.</param>
    /// <param name="path"><see cref="TripPath.Level"/> or <see cref="TripPath.Stale"/>.</param>
    /// <param name="random">Decides the moments.</param>
    public static OvershootOutcome Run(RandomBench bench, TripPath path, Random random)
    {
        using OvershootTrial trial = new(bench, path, random);
        return trial.Run();
    }

    public void Dispose() => _journal.Dispose();

    private OvershootOutcome Run()
    {
        _simulated.AdvanceTo(FirstConversionMicros);
        long nextCycle = FirstConversionMicros;
        while (!IsOver())
        {
            long now = Math.Max(_simulated.NowMicros, Math.Min(nextCycle, Math.Min(_simulated.NextEventMicros, _deadlines.Min())));
            if (_isOpen && !_isSilent)
                now = Math.Min(now, _simulated.NowMicros + 1000);
            _simulated.AdvanceTo(now);
            AdvanceLines(now);
            Interfere(now);
            if (now < nextCycle)
                continue;
            Cycle(now);
            AdvanceLines(now);
            nextCycle = now + _bench.Definition.PeriodMicros + Lateness();
        }

        OvershootPath predicted = _path == TripPath.Stale ? _bench.Report.Stale : _bench.Report.Level;
        return new OvershootOutcome(_path, _peak > _ceiling, _peak, predicted.WorstPascals, _ceiling, _snapshot.FirstCause);
    }

    private bool IsOver()
    {
        bool stopped = _isOpen && _snapshot.Phase == GuardPhase.Tripped && _simulated.Truth.PressurePa < 0.9 * _peak;
        return stopped || _simulated.NowMicros > LongestRiseMicros;
    }

    // As late as allowed every second time: the worst that the prediction counts on has to occur.
    private long Lateness() => _random.Next(2) == 0
        ? _bench.Definition.LatenessMicros
        : _random.NextInt64(_bench.Definition.LatenessMicros + 1);

    private void Cycle(long now)
    {
        bool rises = _risingSince > 0 || _snapshot.Phase == GuardPhase.Safe;
        if (rises && _risingSince == 0)
            StartRising(now);
        double rate = 0.3 * _bench.Report.MaximumRatePascalsPerSecond;
        Pressure target = _bench.Limits.EffectiveCeiling - _bench.Limits.SetPointMargin - new PressureDifference(1000);
        Intent intent = rises
            ? new Intent(1, ++_sequence, IntentKind.Pressurise, target, (long)(rate * 1000), now)
            : default;
        _snapshot = _guard.Cycle(new CycleClock(now, now / 1000), intent, PersonRequest.None);
    }

    private void StartRising(long now)
    {
        _risingSince = now;
        double seconds = (_ceiling - _bench.Limits.Atmosphere.Pascals) / (0.3 * _bench.Report.MaximumRatePascalsPerSecond);
        _openAt = now + (long)(Math.Min(30, 1.2 * seconds) * 1e6 * _random.NextDouble());
    }

    private void Interfere(long now)
    {
        if (!_isOpen && now >= _openAt)
        {
            _isOpen = true;
            _simulated.Inject("fault controller sensor gain 0.1");
        }

        if (_path == TripPath.Stale && _isOpen && !_isSilent && _simulated.Truth.PressurePa >= _silentFrom)
        {
            _isSilent = true;
            _simulated.Inject("fault reference silence on");
        }
    }

    private void AdvanceLines(long now)
    {
        for (int i = 0; i < _lines.Length; i++)
            _deadlines[i] = _lines[i].Driver.Advance(now, _lines[i].Line);
    }
}
