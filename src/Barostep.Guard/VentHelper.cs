using Barostep.Configuration;
using Barostep.Instruments;
using Barostep.Lines;
using Barostep.Safety;

namespace Barostep.Guard;

/// <summary>
/// Isolates and vents a bench whose guard has ended, however it ended: it can do nothing else, may be run any number of
/// times, and waits for ports that are still held.
/// </summary>
internal sealed class VentHelper(GuardFiles files, GuardOptions options, TimeProvider time)
{
    private const long DeadlineMicros = 5_000_000;

    private const long SayAgainMicros = 300_000;

    private static readonly PressureDifference SafeBand = new(1_000_000);

    private readonly Pressure _atmosphere = BenchLimits.AtmosphereOf(files.Bench);
    private readonly Dictionary<InstrumentDriver, Pressure> _told = [];
    private long _sinceMicros;
    private long _saidMicros;
    private long _ticket;
    private bool _vents;

    /// <summary>Vents.</summary>
    /// <returns>Whether the source vents and every sensor tells the atmosphere.</returns>
    public bool Run()
    {
        InstrumentDriver? source = files.Bench.Source is { } made ? new InstrumentDriver(made) : null;
        // A person vents without being asked over a line; whether it was done, the reference tells.
        _vents = source is null;
        var reference = new InstrumentDriver(files.Bench.Reference);
        InstrumentDriver? relay = files.Bench.DumpValve is { } valve ? new InstrumentDriver(valve) : null;
        using var loop = new CycleLoop(files.Bench.PeriodMicros, time);
        foreach (InstrumentDriver driver in new[] { relay, source, reference }.OfType<InstrumentDriver>())
            loop.Add(driver, BenchLines.AddressOf(driver.Fitted, options.Ports), callsForCycle: true);
        source?.Poll(Capability.ReadPressure, 200_000);
        reference.Poll(Capability.ReadPressure, 100_000);
        _sinceMicros = time.NowMicros();
        _saidMicros = _sinceMicros - SayAgainMicros;
        bool isSafe = false;
        loop.Start();
        loop.Run((now, _) =>
        {
            Say(source, relay, now);
            if (source is not null)
                Listen(source);
            Listen(reference);
            isSafe = _vents && _told.Count == (source is null ? 1 : 2) && _told.Values.All(pressure => (pressure - _atmosphere).Magnitude() <= SafeBand);
            return !isSafe && now - _sinceMicros < DeadlineMicros;
        });
        return isSafe;
    }

    private void Say(InstrumentDriver? source, InstrumentDriver? relay, long now)
    {
        if (now - _saidMicros < SayAgainMicros)
            return;
        _saidMicros = now;
        relay?.Command(Capability.Open, 0, CommandUrgency.Urgent, ++_ticket);
        if (!_vents)
            source?.Command(Capability.Vent, 0, CommandUrgency.Urgent, ++_ticket);
    }

    private void Listen(InstrumentDriver driver)
    {
        while (driver.TryTake(out ExchangeReport report))
        {
            if (report.Capability == Capability.Vent)
                _vents |= report.Outcome is ExchangeOutcome.Answered or ExchangeOutcome.Sent;
            else if (report.Capability == Capability.ReadPressure && report.TryGetPressure(_atmosphere, out Pressure pressure))
                _told[driver] = pressure;
        }
    }
}
