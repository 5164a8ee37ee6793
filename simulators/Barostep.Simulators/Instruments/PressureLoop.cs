using Barostep.Simulators.Pneumatics;

namespace Barostep.Simulators.Instruments;

/// <summary>
/// The controller's loop: a profile that runs to the set point at the rate limit and lands on it exponentially, and a
/// PI law on the pressure rate that the valves are to make. Tuned to the plant as its bench file describes it; a fault
/// that changes the plant leaves the tuning wrong, as it would on a bench.
/// </summary>
public sealed class PressureLoop(Plant plant, double periodS, double overshootShare, double rangePa)
{
    private const double Proportional = 8;
    private const double Integral = 8;
    private const double LandingS = 0.4;
    private const double OvershootDecayS = 1;

    // Below this rate, in ranges per second, the valves stay shut: they would only follow the sensor's noise.
    private const double DeadShare = 1e-5;

    private double _profilePa;
    private double _overshootPa;
    private double _integralPaPerS;

    /// <summary>Begins from the present reading, without memory.</summary>
    public void StartFrom(double readingPa, double setPointPa)
    {
        _integralPaPerS = 0;
        _profilePa = readingPa;
        Aim(readingPa, setPointPa);
    }

    /// <summary>Takes a new set point on the run.</summary>
    public void Aim(double readingPa, double setPointPa) => _overshootPa = overshootShare * (setPointPa - readingPa);

    public void Run(double readingPa, double barometerPa, double setPointPa, double ratePaPerS, long nowMicros)
    {
        double profileRate = MoveProfile(setPointPa, ratePaPerS);
        double error = _profilePa - readingPa;
        double wanted = profileRate + (Proportional * error) + _integralPaPerS;
        double absolutePa = Math.Max(1_000, readingPa + barometerPa);
        double most = plant.FullFillRate;
        double least = -plant.FullVentRate * absolutePa;
        if (wanted < most && wanted > least)
        {
            _integralPaPerS += Integral * error * periodS;
        }

        Drive(Math.Abs(wanted) < DeadShare * rangePa ? 0 : wanted, absolutePa, readingPa, setPointPa, nowMicros);
    }

    public void Shut(long nowMicros)
    {
        plant.Fill.Command(0, nowMicros);
        plant.Vent.Command(0, nowMicros);
        plant.Vacuum?.Command(0, nowMicros);
    }

    public void OpenVent(long nowMicros)
    {
        plant.Fill.Command(0, nowMicros);
        plant.Vacuum?.Command(0, nowMicros);
        plant.Vent.Command(1, nowMicros);
    }

    private double MoveProfile(double setPointPa, double ratePaPerS)
    {
        double distance = setPointPa + _overshootPa - _profilePa;
        double rate = Math.Clamp(distance / LandingS, -ratePaPerS, ratePaPerS);
        _profilePa += rate * periodS;
        if (Math.Abs(distance) <= Math.Abs(_overshootPa))
        {
            _overshootPa *= 1 - (periodS / OvershootDecayS);
        }

        return rate;
    }

    private void Drive(double ratePaPerS, double absolutePa, double readingPa, double setPointPa, long nowMicros)
    {
        bool useVacuum = plant.Vacuum is not null && (setPointPa < 0 || readingPa < 0.02 * rangePa) && readingPa < 0.05 * rangePa;
        double exhaust = useVacuum ? plant.FullVacuumRate : plant.FullVentRate;
        double fill = ratePaPerS > 0 ? ratePaPerS / plant.FullFillRate : 0;
        double outflow = ratePaPerS < 0 ? -ratePaPerS / (exhaust * absolutePa) : 0;
        plant.Fill.Command(fill, nowMicros);
        plant.Vent.Command(useVacuum ? 0 : outflow, nowMicros);
        plant.Vacuum?.Command(useVacuum ? outflow : 0, nowMicros);
    }
}
