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

    /// <param name="drivers">The lines, in the order in which they are called at one time.</param>
    /// <param name="bench">The bench at their other end.</param>
    public EmbeddedLines(IEnumerable<InstrumentDriver> drivers, SimulatedBench bench)
        : this(drivers, bench, static (_, port) => new EmbeddedLine(port))
    {
    }

    /// <param name="drivers">The lines, in the order in which they are called at one time.</param>
    /// <param name="bench">The bench at their other end.</param>
    /// <param name="open">Makes what stands between a driver and its port.</param>
    public EmbeddedLines(IEnumerable<InstrumentDriver> drivers, SimulatedBench bench, Func<InstrumentDriver, SimulatedPort, IByteLine> open)
    {
        _places = [.. drivers.Select(driver =>
        {
            SimulatedPort port = bench.Port(driver.Fitted.Port);
            return new Place(driver, port, open(driver, port));
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
        private readonly InstrumentDriver _driver;
        private readonly SimulatedPort _port;
        private readonly IByteLine _line;
        private bool _isAsked = true;
        private bool _wasOpen;

        public Place(InstrumentDriver driver, SimulatedPort port, IByteLine line)
        {
            _driver = driver;
            _port = port;
            _line = line;
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
            NextCallMicros = _driver.Advance(nowMicros, _line);
        }

        public void Leave() => _driver.Requested -= Ask;

        private void Ask() => _isAsked = true;
    }
}
