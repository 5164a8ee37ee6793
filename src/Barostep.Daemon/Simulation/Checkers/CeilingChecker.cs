using Barostep.Control;
using Barostep.Simulators;

namespace Barostep.Daemon.Simulation.Checkers;

/// <summary>I1: the gas never passes the ceiling by more than the worst case of the faults that are present, nor (I4) for longer than it takes to see and to vent it.</summary>
internal sealed class CeilingChecker : Checker
{
    private readonly List<(long AtMicros, double Pascals)> _ceilings = [];
    private WorstCase? _worst;
    private long _aboveSinceMicros = long.MaxValue;

    public override string Name => "I1 ceiling";

    public override void Look(in TrueState truth)
    {
        _worst ??= new WorstCase(World.Setup);
        _worst.Look(truth);
        double inForce = CeilingInForce();
        double highest = _worst.HighestPascals(inForce, World.Faults.Touched);
        if (truth.PressurePa > highest)
            Report($"the gas is at {Gauge(truth.PressurePa)} with the ceiling at {Gauge(inForce)}; {Gauge(highest)} is the worst that may be");
        WatchTime(truth, inForce);
    }

    public override void GuardCycled(in BenchSnapshot told)
    {
        double ceiling = Math.Min(told.EffectiveCeiling.Pascals, _worst?.CeilingPascals ?? double.MaxValue);
        if (_ceilings.Count == 0 || _ceilings[^1].Pascals != ceiling)
            _ceilings.Add((NowMicros, ceiling));
    }

    private void WatchTime(in TrueState truth, double inForce)
    {
        if (truth.PressurePa <= inForce || WorstCase.IsBeyondSoftware(World.Faults.Touched))
        {
            _aboveSinceMicros = long.MaxValue;
            return;
        }

        _aboveSinceMicros = Math.Min(_aboveSinceMicros, truth.TimeMicros);
        double longest = _worst!.ReactionSeconds(World.Faults.Touched) + _worst.VentSeconds(World.Faults.Touched);
        if (truth.TimeMicros - _aboveSinceMicros > longest * 1e6)
            Report($"the gas is above the ceiling of {Gauge(inForce)} for more than {longest:0.00} s");
    }

    /// <summary>A ceiling that was lowered counts once what stood above it has had its time to be vented.</summary>
    private double CeilingInForce()
    {
        double highest = _ceilings.Count == 0 ? _worst!.CeilingPascals : _ceilings[^1].Pascals;
        double allowed = _worst!.ReactionSeconds(World.Faults.Touched) + _worst.VentSeconds(World.Faults.Touched) + 1;
        for (int i = _ceilings.Count - 1; i > 0 && NowMicros - _ceilings[i].AtMicros < allowed * 1e6; i--)
            highest = Math.Max(highest, _ceilings[i - 1].Pascals);
        return highest;
    }

    private string Gauge(double pascals) => $"{(pascals - World.Truth.AtmospherePa) / 1e5:0.000} bar gauge";
}
