using Barostep.Control.Valves;
using Barostep.Safety;
using Barostep.Simulators;
using Barostep.Simulators.Pneumatics;
using Xunit.Abstractions;

namespace Barostep.Tests.Control;

/// <summary>The loop over a pump's valves, under the kernel, on a simulated plant and virtual time.</summary>
public sealed class ValveLoopTests(ITestOutputHelper output)
{
    private const int Benches = 500;
    private const double Span = 1_000_000;
    private const double Band = 0.0005 * Span;
    private const double MostPassed = 0.001 * Span;

    /// <summary>Up, further up, and down again, somewhere in the range.</summary>
    private static double[] SharesOf(int bench)
    {
        double lowest = 0.1 + (0.75 * (bench % 16) / 15);
        return [lowest, lowest + 0.15, lowest + 0.05];
    }

    [Fact]
    public void Over_five_hundred_random_benches_every_point_is_reached_in_its_band_from_its_side()
    {
        List<PointOutcome> points = [];
        for (int i = 0; i < Benches; i++)
            points.AddRange(new ValveBench(i).Sweep(SharesOf(i)));

        Report(points);
        Assert.Equal(Benches * 3, points.Count);
        Assert.All(points, point => Assert.True(point.Reached, $"bench {point.Bench}, {point.Share:P0}: not in its band within two minutes, {point.Missing:0} Pa away"));
        Assert.All(points, point => Assert.True(point.PassedPascals <= MostPassed, $"bench {point.Bench}, {point.Share:P0}: passed by {point.PassedPascals:0} Pa"));
        Assert.All(points, point => Assert.Equal(CauseSet.Empty, point.Causes));
    }

    [Fact]
    public void Without_permission_nothing_fills()
    {
        var bench = new ValveBench(1);
        bench.Run(bench.Safe, 20);
        Assert.Equal(0, bench.State.Pulses);

        // Pressure is asked for, and the reference falls silent: the kernel holds, then vents, and no pulse is sent.
        bench.Ask(0.5);
        bench.Run(() => bench.State.Pulses > 5, 30);
        bench.IsSilent = true;
        bench.Run(() => bench.Decision.Action != SafetyAction.Control, 5);
        long pulses = bench.State.Pulses;
        bench.Run(() => false, 3);
        Assert.Equal(pulses, bench.State.Pulses);
        Assert.Equal(ValveOrder.Vent, bench.State.Standing);
        Assert.True(bench.GaugePascals < 0.1 * Span);
    }

    [Fact]
    public void The_same_bench_gives_the_same_pulses() =>
        Assert.Equal(new ValveBench(42).Sweep(SharesOf(4)), new ValveBench(42).Sweep(SharesOf(4)));

    private void Report(List<PointOutcome> points)
    {
        PointOutcome[] reached = [.. points.Where(point => point.Reached).DefaultIfEmpty()];
        output.WriteLine($"points reached {reached.Length} of {points.Count}");
        foreach ((string name, Func<PointOutcome, double> figure) in new (string, Func<PointOutcome, double>)[]
        {
            ("passed, % of span", point => point.PassedPascals / Span * 100), ("pulses", point => point.Pulses), ("time, s", point => point.Seconds),
        })
        {
            double[] sorted = [.. reached.Select(figure).Order()];
            output.WriteLine($"{name}: median {sorted[sorted.Length / 2]:0.###}, 95 % {sorted[(int)(sorted.Length * 0.95)]:0.###}, most {sorted[^1]:0.###}");
        }
    }

    private readonly record struct PointOutcome(
        int Bench, double Share, bool Reached, double Missing, double PassedPascals, long Pulses, double Seconds, CauseSet Causes);

    /// <summary>A volume with a fill and a bleed valve of random size, a reference at 20 Hz, and the kernel between.</summary>
    private sealed class ValveBench
    {
        private const long CycleMicros = 50_000;

        private readonly Plant _plant;
        private readonly Random _random;
        private readonly int _number;
        private readonly SafetyLimits _limits;
        private readonly ValveLoopSettings _settings;
        private readonly Queue<(long AskedAt, double Pascals)> _line = new();
        private SafetyState _kernel = SafetyState.Initial;
        private ValveLoopState _state;
        private SensorReading _reading = SensorReading.NoneYet;
        private Pressure _target;
        private IntentKind _wants = IntentKind.Vent;
        private long _shutFillAt = long.MaxValue;
        private long _shutBleedAt = long.MaxValue;
        private double _lagged;
        private long _tick;
        private readonly double _rate;
        private double _peak;

        public ValveBench(int number)
        {
            _number = number;
            _random = new Random(unchecked((int)(number * 2_654_435_761u)));
            double volume = 2e-5 * Math.Pow(100, _random.NextDouble());
            double supply = 1_600_000;
            // Fully open, the fill brings 5 % to 50 % of the span in a second, and the bleed 30 % to 150 % at the top:
            // with more, the shortest pulse would change more than a band is wide.
            double fillShare = 0.05 * Math.Pow(10, _random.NextDouble());
            double bleedShare = 0.3 * Math.Pow(5, _random.NextDouble());
            double conductance = Span * fillShare * volume / supply / 101_325;
            double bleed = Span * bleedShare * volume / 1_100_000 / 101_325;
            // What a run asks for, the pump can do: half of what the slower valve brings, near the atmosphere a sixth of the top.
            _rate = 0.5 * Math.Min(0.4, Math.Min(fillShare, bleedShare / 6));
            _plant = new Plant(new PlantDescription
            {
                Gas = "nitrogen",
                VolumeM3 = volume,
                SupplyPa = supply,
                WallConductance = 4 * volume * 1000,
                WallHeatCapacity = 2_000 * volume * 1000,
                AmbientConductance = 5 * volume * 1000,
                Fill = Valve(conductance),
                Vent = Valve(bleed),
            });
            _plant.Vent.Command(1, 0);
            Pressure atmosphere = Pressure.FromPascals(_plant.AtmospherePa);
            _limits = new SafetyLimits(
                [
                    new("operator", atmosphere + PressureDifference.FromPascals(1.1 * Span), null, "bench.toml:3"),
                    new("hose", atmosphere + PressureDifference.FromPascals(4 * Span), Pressure.FromPascals(50_000), "bench.toml:9"),
                ],
                atmosphere,
                (long)(0.5 * Span * 1000));
            _settings = new ValveLoopSettings(
                PressureDifference.FromPascals(Band / 2), PressureDifference.FromPascals(Band / 2), PressureDifference.FromPascals(0.02 * Span));
            _lagged = _plant.GaugePa;
        }

        public ValveLoopState State => _state;

        public Decision Decision { get; private set; }

        public bool IsSilent { get; set; }

        public double GaugePascals => _plant.GaugePa;

        private long Now => _tick * CycleMicros;

        public bool Safe() => Decision.Phase == GuardPhase.Safe;

        public void Ask(double share)
        {
            _wants = IntentKind.Pressurise;
            _target = _limits.Atmosphere + PressureDifference.FromPascals(share * Span);
        }

        public bool Run(Func<bool> until, double seconds)
        {
            for (long end = Now + (long)(seconds * 1e6); Now < end;)
            {
                Cycle();
                if (until())
                    return true;
            }

            return false;
        }

        public List<PointOutcome> Sweep(IEnumerable<double> shares)
        {
            Assert.True(Run(Safe, 120), $"bench {_number} is not proved depressurised");
            List<PointOutcome> outcomes = [];
            foreach (double share in shares)
            {
                outcomes.Add(Point(share));
            }

            return outcomes;
        }

        private PointOutcome Point(double share)
        {
            Ask(share);
            double target = share * Span;
            long began = Now;
            long pulses = _state.Pulses;
            int inBand = 0;
            _peak = double.NegativeInfinity;
            CauseSet causes = CauseSet.Empty;
            // In its band for two seconds on end.
            bool reached = Run(
                () =>
                {
                    causes |= Decision.Causes;
                    inBand = Math.Abs(_plant.GaugePa - target) <= Band ? inBand + 1 : 0;
                    return inBand >= 40;
                },
                120);
            double passed = Math.Max(0, _peak);
            return new PointOutcome(_number, share, reached, target - _plant.GaugePa, passed, _state.Pulses - pulses, (Now - began) / 1e6, causes);

        }

        private void Cycle()
        {
            _tick++;
            for (long at = Now - CycleMicros; at < Now; at += Plant.StepMicros)
                Step(at);
            // A reading was asked for 30 ms before it is seen.
            _line.Enqueue((Now - 30_000, _lagged + ((_random.NextDouble() - 0.5) * 20)));
            if (!IsSilent && _line.TryDequeue(out (long AskedAt, double Pascals) told))
            {
                Pressure value = _limits.Atmosphere + PressureDifference.FromPascals(Math.Round(told.Pascals));
                _reading = new SensorReading(ReadingQuality.Good, value, told.AskedAt, told.AskedAt + 25_000, (ulong)value.MilliPascals, _tick);
            }

            Observation seen = Observe();
            Decision = SafetyKernel.Decide(_kernel, seen, _limits, out _kernel);
            ValveCommand command = ValveLoop.Step(_settings, _state, Decision, _reading, _limits.Atmosphere, Now, out _state);
            Obey(command);
        }

        private void Step(long at)
        {
            if (at >= _shutFillAt)
                (_shutFillAt, _) = (long.MaxValue, Shut(_plant.Fill, at));
            if (at >= _shutBleedAt)
                (_shutBleedAt, _) = (long.MaxValue, Shut(_plant.Vent, at));
            _plant.Step(at);
            _lagged += (_plant.GaugePa - _lagged) * 0.05;
            double target = (_target - _limits.Atmosphere).Pascals;
            int side = _state.Side;
            if (side != 0 && _state.SetPoint == _target)
                _peak = Math.Max(_peak, (_plant.GaugePa - target) * side);
        }

        private void Obey(ValveCommand command)
        {
            switch (command.Order)
            {
                case ValveOrder.Fill:
                    _plant.Fill.Command(1, Now);
                    _shutFillAt = Now + command.PulseMicros;
                    break;
                case ValveOrder.Bleed:
                    _plant.Vent.Command(1, Now);
                    _shutBleedAt = Now + command.PulseMicros;
                    break;
                case ValveOrder.Shut or ValveOrder.Vent:
                    (_shutFillAt, _shutBleedAt) = (long.MaxValue, long.MaxValue);
                    _plant.Fill.Command(0, Now);
                    _plant.Vent.Command(command.Order == ValveOrder.Vent ? 1 : 0, Now);
                    break;
                case ValveOrder.None:
                    break;
            }
        }

        private Observation Observe() => new()
        {
            Tick = _tick,
            NowMicros = Now,
            WallMillis = 1_790_000_000_000 + (Now / 1000),
            Reference = _reading,
            SourceSensor = SensorReading.NotFitted,
            Source = new SourceReport
            {
                LineUp = true,
                Mode = Decision.Action switch
                {
                    SafetyAction.Control => SourceMode.Controlling,
                    SafetyAction.Isolate => SourceMode.Measuring,
                    _ => SourceMode.Venting,
                },
                ModeAskedAtMicros = Now - 10_000,
            },
            Intent = new Intent(1, (uint)_tick, _wants, _target, (long)(_rate * Span * 1000), Now),
        };

        private ValveDescription Valve(double conductance) => new(
            conductance, 0.3, 1_000 * _random.Next(2, 15), 1_000 * _random.Next(5, 30));

        private static bool Shut(Valve valve, long at)
        {
            valve.Command(0, at);
            return true;
        }
    }
}
