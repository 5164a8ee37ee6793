using Barostep.Safety;

namespace Barostep.Tests.Safety.Budget;

/// <summary>The bound against a stepped model of gas, sensor, line and valve: never passed, and not idle.</summary>
public class OvershootBoundTests
{
    // One step of the model is 50 µs of at least 160 ms.
    private const double Numerical = 1.0005;

    private const double Atmosphere = Benches.Atmosphere;
    private static readonly double[] Conductances = [0.005, 0.01, 0.05, 0.1];
    private static readonly double[] Millilitres = [50, 100, 250, 1000];
    private static readonly double[] Bauds = [9600, 115200];
    private static readonly double[] Ceilings = [2, 6];

    private static IEnumerable<Bench> AllBenches() =>
        from conductance in Conductances
        from millilitres in Millilitres
        from baud in Bauds
        from ceiling in Ceilings
        from isothermal in new[] { false, true }
        select new Bench(conductance, millilitres, baud, ceiling, isothermal);

    [Fact]
    [Trait("SR", "02")]
    public void No_phase_of_poll_and_conversion_passes_the_level_bound()
    {
        List<double> adiabaticAndChoked = [];
        int cases = 0;
        foreach (Bench bench in AllBenches())
        {
            double worst = bench.WorstLevel();
            double bound = bench.Report.Level.Rise.Total;
            Assert.True(worst <= bound * Numerical, $"{bench}: {worst} Pa passes {bound} Pa");
            Assert.True(worst > 0, $"{bench}: never tripped");
            cases++;
            if (!bench.Isothermal && bench.CeilingBar == 2 && bound < 2 * Benches.Bar)
                adiabaticAndChoked.Add(worst / bound);
        }

        Assert.Equal(128, cases);
        AssertNotIdle(adiabaticAndChoked);
    }

    [Fact]
    [Trait("SR", "02, 15")]
    public void No_instant_at_which_readings_stop_passes_the_stale_bound()
    {
        List<double> adiabaticAndChoked = [];
        foreach (Bench bench in AllBenches())
        {
            double worst = bench.WorstStale(new Dice(1), draws: 400);
            double bound = bench.Report.Stale.Rise.Total;
            Assert.True(worst <= bound * Numerical, $"{bench}: {worst} Pa passes {bound} Pa");
            if (!bench.Isothermal && bench.CeilingBar == 2 && bound < 2 * Benches.Bar)
                adiabaticAndChoked.Add(worst / bound);
        }

        AssertNotIdle(adiabaticAndChoked);
    }

    [Fact]
    [Trait("SR", "02")]
    public void No_instant_at_which_the_guard_dies_passes_the_keep_alive_bound()
    {
        List<double> adiabaticAndChoked = [];
        int shorterBoundPassed = 0;
        foreach (Bench bench in AllBenches())
        {
            double worst = bench.WorstKeepAlive(new Dice(2), draws: 600);
            double bound = bench.Report.KeepAlive.Rise.Total;
            Assert.True(worst <= bound * Numerical, $"{bench}: {worst} Pa passes {bound} Pa");
            if (bench.Isothermal || bench.CeilingBar != 2 || bench.Report.KeepAlive.SupplyLimited)
                continue;
            if (bound < 2 * Benches.Bar)
                adiabaticAndChoked.Add(worst / bound);
            // Time-out, relay and valve alone: the bound that forgets that the last keep-alive rests on an old sample.
            if (worst > bench.Report.MaximumRatePascalsPerSecond * (0.500 + 0.015 + 0.030))
                shorterBoundPassed++;
        }

        AssertNotIdle(adiabaticAndChoked);
        Assert.True(shorterBoundPassed > 0, "the shorter bound was never passed, so the longer one is idle");
    }

    [Theory]
    [InlineData(1, false)]
    [InlineData(5, false)]
    [InlineData(1, true)]
    [InlineData(5, true)]
    public void Trapped_gas_adds_what_the_bound_allows_and_no_more(double millilitres, bool isothermal)
    {
        Bench bench = new(0.005, 50, 9600, 2, isothermal, TrappedMillilitres: millilitres);
        double worst = bench.WorstLevel();
        double bound = bench.Report.Level.Rise.Total;
        Assert.InRange(worst, bench.Report.TrappedRisePascals, bound * Numerical);
        // A little less than the bound: the trapped gas flows in from above the ceiling, not from it.
        if (!isothermal)
            Assert.InRange(worst / bound, 0.95, Numerical);
    }

    [Fact]
    public void A_reference_that_reads_low_by_its_uncertainty_stays_within_the_bound()
    {
        foreach (double conductance in Conductances)
        {
            Bench bench = new(conductance, 1000, 9600, 2, Isothermal: false, UncertaintyPascals: 2000);
            Assert.InRange(bench.WorstLevel() / bench.Report.Level.Rise.Total, 0.9, Numerical);
        }
    }

    private static void AssertNotIdle(List<double> ratios)
    {
        Assert.True(ratios.Count >= 10, $"only {ratios.Count} cases");
        double median = ratios.Order().ElementAt(ratios.Count / 2);
        Assert.True(median > 0.93, $"the worst found is at the median {median:0.000} of the bound");
    }

    /// <summary>One bench and its gas; the guard is acted out event by event.</summary>
    private sealed record Bench(
        double Conductance,
        double VolumeMillilitres,
        double Baud,
        double CeilingBar,
        bool Isothermal,
        double TrappedMillilitres = 0,
        double UncertaintyPascals = 0)
    {
        private const double PollSeconds = 0.050;
        private const double ConversionSeconds = 0.020;
        private const double SensorLag = 0.020;
        private const double Execution = 0.020;
        private const double DeadAndClose = 0.030;
        private const double Jitter = 0.010;
        private const double Longest = 1.0;

        private readonly double _ceiling = Benches.Gauge(CeilingBar);
        private readonly double _read = (30 * 10 / Baud) + 0.005 + 0.001;
        private readonly double _command = (12 * 10 / Baud) + 0.005;
        private FillingGas? _gas;

        public OvershootReport Report { get; } = OvershootBudget.Evaluate(Benches.Table(Conductance, VolumeMillilitres, Baud) with
        {
            Limits = Benches.Limits(Benches.Gauge(CeilingBar)),
            TrappedVolume = TrappedMillilitres * 1e-6,
            ReferenceUncertaintyPascals = UncertaintyPascals,
        });

        // Near enough to the ceiling to be quick, far enough for the sensor's lag to be full.
        private FillingGas Gas => _gas ??= new FillingGas(
            Conductance * Benches.ConductanceUnit, 0.35, VolumeMillilitres * 1e-6, Benches.Gauge(10), Isothermal,
            from: Math.Max(Atmosphere, _ceiling - UncertaintyPascals - (0.3 * Report.MaximumRatePascalsPerSecond)),
            past: _ceiling, secondsAfter: Longest, SensorLag);

        public double WorstLevel()
        {
            double latest = 0;
            for (int poll = 0; poll < 40; poll++)
            {
                for (int conversion = 0; conversion < 10; conversion++)
                {
                    double crossed = FirstRequestAtCeiling(poll / 40.0 * PollSeconds, conversion / 10.0 * ConversionSeconds);
                    latest = Math.Max(latest, crossed + _read + Execution + _read + _command + DeadAndClose);
                }
            }

            return Rise(latest);
        }

        /// <summary>The line dies at a drawn instant, with the last reading still below the ceiling.</summary>
        public double WorstStale(Dice dice, int draws)
        {
            double staleAge = (2 * PollSeconds) + _read + Jitter;
            double latest = 0;
            for (int draw = 0; draw < draws; draw++)
            {
                (double poll, double conversion) = (dice.Next() * PollSeconds, dice.Next() * ConversionSeconds);
                double dies = Gas.Passed + (dice.Next() * 0.25) - 0.05;
                double last = LastRequestBefore(poll, dies - _read);
                double crossed = FirstRequestAtCeiling(poll, conversion);
                // A nanosecond for the rounding of sums.
                double decided = crossed <= last + 1e-9 ? crossed + _read : last + staleAge;
                latest = Math.Max(latest, decided + Execution + _read + _command + DeadAndClose);
            }

            return Rise(latest);
        }

        /// <summary>The guard dies at a drawn instant; the relay drops when the last keep-alive has run out.</summary>
        public double WorstKeepAlive(Dice dice, int draws)
        {
            double latest = 0;
            for (int draw = 0; draw < draws; draw++)
            {
                (double poll, double conversion) = (dice.Next() * PollSeconds, dice.Next() * ConversionSeconds);
                double dies = Gas.Passed + (dice.Next() * 0.25) - 0.05;
                double request = LastRequestBefore(poll, dies - _read - Execution);
                // A guard that saw the ceiling reached sends no keep-alive any more.
                while (Reading(request, conversion) >= _ceiling)
                    request -= PollSeconds;
                latest = Math.Max(latest, request + _read + Execution + 0.500 + 0.015 + DeadAndClose);
            }

            return Rise(latest);
        }

        /// <summary>The request whose answer shows the ceiling reached. The line is then busy with another exchange for as long as can be.</summary>
        private double FirstRequestAtCeiling(double pollPhase, double conversionPhase)
        {
            double request = pollPhase;
            while (Reading(request, conversionPhase) < _ceiling)
                request += PollSeconds;
            return request;
        }

        // The instrument answers with its newest conversion, and may take it as soon as the request begins to arrive.
        private double Reading(double request, double conversionPhase)
        {
            double newest = (Math.Floor((request - conversionPhase) / ConversionSeconds) * ConversionSeconds) + conversionPhase;
            return Gas.SensorAt(newest) - UncertaintyPascals;
        }

        private static double LastRequestBefore(double phase, double instant) =>
            (Math.Floor((instant - phase) / PollSeconds) * PollSeconds) + phase;

        // The pressure only rises while the valve is open, so the latest shutting is the worst.
        private double Rise(double shut) =>
            (TrappedMillilitres == 0 ? Gas.PressureAt(Math.Max(0, shut)) : Gas.PressureAfterShutting(shut, TrappedMillilitres * 1e-6)) - _ceiling;

        public override string ToString() =>
            $"{Conductance} dm³/(s·bar), {VolumeMillilitres} mL, {Baud} baud, {CeilingBar} bar gauge, {(Isothermal ? "isothermal" : "adiabatic")}";
    }

    /// <summary>Numbers from 0 up to 1 from a fixed seed (linear congruential, constants of MMIX, from memory).</summary>
    private sealed class Dice(ulong seed)
    {
        private ulong _state = seed;

        public double Next()
        {
            _state = (_state * 6364136223846793005) + 1442695040888963407;
            return (_state >> 11) / (double)(1UL << 53);
        }
    }
}
