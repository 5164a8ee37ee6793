using Barostep.Instruments;
using Barostep.Simulators;
using Barostep.Simulators.Wire;

namespace Barostep.Daemon.Sweeps;

/// <summary>The lines of one process to a simulated bench. Each is called only when it has something to do.</summary>
/// <remarks>
/// A driver's contract names the occasions: bytes that arrived, a request, the line opened or closed, and the time that it
/// asked for. Calling it at other times changes nothing, and on virtual time would cost more than everything else.
/// </remarks>
internal sealed class EmbeddedLines
{
    private readonly Place[] _places;

    /// <param name="drivers">The instruments, in the order in which their lines are called at one time; those of one port take turns.</param>
    /// <param name="bench">The bench at their other end.</param>
    public EmbeddedLines(IEnumerable<InstrumentDriver> drivers, SimulatedBench bench)
        : this(drivers, bench, static (_, port) => new EmbeddedLine(port))
    {
    }

    /// <param name="drivers">The instruments, in the order in which their lines are called at one time; those of one port take turns.</param>
    /// <param name="bench">The bench at their other end.</param>
    /// <param name="open">Makes what stands between a driver and its port.</param>
    public EmbeddedLines(IEnumerable<InstrumentDriver> drivers, SimulatedBench bench, Func<InstrumentDriver, SimulatedPort, IByteLine> open)
    {
        _places = [.. drivers.GroupBy(driver => driver.Fitted.Port).Select(shared =>
        {
            SimulatedPort port = bench.Port(shared.Key);
            return new Place([.. shared], port, open(shared.First(), port));
        })];
    }

    /// <summary>Latest time of the next call, as far as no byte arrives before it.</summary>
    public long NextCallMicros
    {
        get
        {
            long next = long.MaxValue;
            foreach (Place place in _places)
                next = Math.Min(next, place.NextCallMicros);
            return next;
        }
    }

    /// <summary>A bound from below on the next arrival of a byte.</summary>
    public long NextDeliveryMicros
    {
        get
        {
            long next = long.MaxValue;
            foreach (Place place in _places)
                next = Math.Min(next, place.NextDeliveryMicros);
            return next;
        }
    }

    /// <summary>Calls every line that has something to do.</summary>
    public void Advance(long nowMicros)
    {
        foreach (Place place in _places)
            place.Advance(nowMicros);
    }

    /// <summary>Calls no line of this process any more: nobody listens to its drivers.</summary>
    public void Leave()
    {
        foreach (Place place in _places)
            place.Leave();
    }

    private sealed class Place
    {
        private readonly LineTurns _turns;
        private readonly SimulatedPort _port;
        private readonly IByteLine _line;
        private bool _isAsked = true;
        private bool _wasOpen;

        public Place(IReadOnlyList<InstrumentDriver> drivers, SimulatedPort port, IByteLine line)
        {
            _turns = new LineTurns(drivers);
            _port = port;
            _line = line;
            foreach (InstrumentDriver driver in drivers)
                driver.Requested += Ask;
        }

        public long NextCallMicros { get; private set; }

        public long NextDeliveryMicros => _port.NextDeliveryMicros;

        public void Advance(long nowMicros)
        {
            if (!_isAsked && nowMicros < NextCallMicros && !_port.HasArrived && _line.IsOpen == _wasOpen)
                return;
            // Before the call: it may itself send what brings a request.
            _isAsked = false;
            _wasOpen = _line.IsOpen;
            NextCallMicros = _turns.Advance(nowMicros, _line);
        }

        public void Leave()
        {
            foreach (InstrumentDriver driver in _turns.Drivers)
                driver.Requested -= Ask;
        }

        private void Ask() => _isAsked = true;
    }
}
