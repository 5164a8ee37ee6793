namespace Barostep.Simulators.Pneumatics;

/// <summary>A valve's actuator: after its dead time it travels at constant speed to the last commanded opening.</summary>
public sealed class Valve(ValveDescription description, double initialOpening = 0)
{
    private readonly Queue<(long DueMicros, double Opening)> _commands = new(16);
    private double _target = initialOpening;
    private double _last = initialOpening;
    private bool _restsSinceLastStep;

    public double Conductance => description.Conductance;

    public double CriticalRatio => description.CriticalRatio;

    /// <summary>Present opening, 0 to 1.</summary>
    public double Opening { get; private set; } = initialOpening;

    /// <summary>The opening at which the valve is stuck, whatever it is told; null when it is healthy.</summary>
    public double? StuckAt { get; set; }

    /// <summary>Whether nothing moves the valve in a step that begins now, and nothing moved it in the one before.</summary>
    public bool IsStill(long nowMicros)
    {
        bool rests = StuckAt is { } stuck ? Opening == stuck : Opening == _target;
        return rests && _restsSinceLastStep && (_commands.Count == 0 || _commands.Peek().DueMicros > nowMicros);
    }

    /// <summary>Orders an opening; values beyond 0 to 1 mean the nearer end.</summary>
    public void Command(double opening, long nowMicros)
    {
        double wanted = Math.Clamp(opening, 0, 1);
        if (wanted != _last)
        {
            _last = wanted;
            _commands.Enqueue((nowMicros + description.DeadTimeMicros, wanted));
        }
    }

    /// <summary>How far the valve would travel in the next step, 0 to 1.</summary>
    public double TravelWithin(long nowMicros, double seconds)
    {
        TakeDue(nowMicros);
        double goal = StuckAt ?? _target;
        if (goal == Opening)
        {
            return 0;
        }

        return Math.Min(Math.Abs(goal - Opening), StuckAt is null ? Reach(seconds) : 1);
    }

    /// <summary>Moves the valve through one step and returns its mean opening in it.</summary>
    public double Advance(long nowMicros, double seconds)
    {
        TakeDue(nowMicros);
        double before = Opening;
        if (StuckAt is { } stuck)
        {
            Opening = stuck;
            _restsSinceLastStep = true;
            return stuck;
        }

        if (before != _target)
        {
            double reach = Reach(seconds);
            Opening = before + Math.Clamp(_target - before, -reach, reach);
        }

        _restsSinceLastStep = Opening == before;
        return 0.5 * (before + Opening);
    }

    private double Reach(double seconds) =>
        description.TravelTimeMicros == 0 ? 1 : seconds * 1e6 / description.TravelTimeMicros;

    private void TakeDue(long nowMicros)
    {
        while (_commands.Count > 0 && _commands.Peek().DueMicros <= nowMicros)
        {
            _target = _commands.Dequeue().Opening;
        }
    }
}
