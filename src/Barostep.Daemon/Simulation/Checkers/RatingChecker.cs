using Barostep.Configuration;
using Barostep.Simulators;

namespace Barostep.Daemon.Simulation.Checkers;

/// <summary>I2 and I3: no part ever sees more than its rating or less than its floor, whatever is broken: the relief valve is not.</summary>
internal sealed class RatingChecker : Checker
{
    private double _rating;
    private double _floor;

    public override string Name => "I2 rating";

    public override void Look(in TrueState truth)
    {
        if (_rating == 0)
            Weakest(truth.AtmospherePa);
        if (truth.PressurePa > _rating)
            Report($"the gas is at {truth.PressurePa:0} Pa absolute; the weakest part is rated {_rating:0} Pa");
        if (truth.PressurePa < _floor)
            Report($"the gas is at {truth.PressurePa:0} Pa absolute; the weakest part stands {_floor:0} Pa");
    }

    private void Weakest(double atmosphere)
    {
        DeviceDefinition device = World.Setup.Device;
        _rating = atmosphere + (double)(device.Rating.Value * device.Rating.Unit.Pascals);
        _floor = atmosphere + (double)(device.Floor.Value * device.Floor.Unit.Pascals);
        foreach (BenchPart part in World.Setup.Bench.Parts)
        {
            _rating = Math.Min(_rating, atmosphere + (double)(part.Rating.Value * part.Rating.Unit.Pascals));
            _floor = Math.Max(_floor, atmosphere + (double)(part.Floor.Value * part.Floor.Unit.Pascals));
        }
    }
}
