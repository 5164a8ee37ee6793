using Barostep.Procedures.Settling;
using Barostep.Simulators.Instruments;

namespace Barostep.Tests.Procedures.Settling;

public class SettlingModelTests
{
    private const double Span = 1e6;

    [Fact]
    public void What_is_left_of_a_lag_is_told_within_three_uncertainties()
    {
        var bench = new Device(lagSeconds: 1.5, noisePascals: 20, seed: 1);
        SettlingModel model = bench.Climb(bench.Climb(SettlingModel.Begin(1), Span, 30), 0.5 * Span, 3);
        SettlingForecast forecast = model.Forecast(2)!.Value;

        Assert.InRange(forecast.RemainingPascals, bench.TrueRest(2) - (3 * forecast.UncertaintyPascals), bench.TrueRest(2) + (3 * forecast.UncertaintyPascals));
        Assert.True(Math.Abs(bench.TrueRest(2)) > forecast.UncertaintyPascals, $"the lag of {bench.TrueRest(2)} Pa was told from nothing, u {forecast.UncertaintyPascals}");
        Assert.Equal(20, forecast.NoisePascals, 12.0);
    }

    [Fact]
    public void Forecasts_keep_to_their_uncertainty_over_many_devices()
    {
        int outside = 0;
        const int Devices = 300;
        for (ulong seed = 0; seed < Devices; seed++)
        {
            var bench = new Device(0.1 + (2.5 * seed / Devices), 30, seed);
            SettlingModel model = bench.Climb(SettlingModel.Begin(1), Span, 20);
            model = bench.Climb(model, 0.5 * Span, 2.5);
            SettlingForecast forecast = model.Forecast(2)!.Value;
            outside += Math.Abs(forecast.RemainingPascals - bench.TrueRest(2)) > 3 * forecast.UncertaintyPascals ? 1 : 0;
        }

        Assert.InRange(outside, 0, Devices / 100);
    }

    [Theory]
    [InlineData(0.002, 12)]
    [InlineData(0.003, 30)]
    [InlineData(0.001, 50)]
    public void An_after_effect_that_the_preload_showed_is_foretold(double share, double seconds)
    {
        var bench = new Device(0.3, 20, 21) { AfterEffect = share, AfterEffectSeconds = seconds };
        SettlingModel model = bench.Climb(bench.Climb(SettlingModel.Begin(1), Span, 30), 0, 30);
        SettlingForecast forecast = bench.Climb(model, Span, 4).Forecast(2)!.Value;

        Assert.True(Math.Abs(bench.TrueRest(2)) > 500, $"only {bench.TrueRest(2)} Pa are left");
        Assert.InRange(forecast.RemainingPascals - bench.TrueRest(2), -3 * forecast.UncertaintyPascals, 3 * forecast.UncertaintyPascals);
        Assert.True(forecast.UncertaintyPascals < 0.5 * Math.Abs(bench.TrueRest(2)), $"u {forecast.UncertaintyPascals} Pa of {bench.TrueRest(2)} Pa");
    }

    [Theory]
    [InlineData(5)]
    [InlineData(9)]
    public void A_device_slower_than_most_is_waited_for_nevertheless(double lagSeconds)
    {
        var bench = new Device(lagSeconds, 20, 22);
        SettlingModel model = bench.Climb(SettlingModel.Begin(1), Span, 30);
        SettlingForecast forecast = bench.Climb(model, 0.5 * Span, 5).Forecast(2)!.Value;

        Assert.InRange(forecast.RemainingPascals - bench.TrueRest(2), -3 * forecast.UncertaintyPascals, 3 * forecast.UncertaintyPascals);
    }

    [Fact]
    public void A_quiet_device_without_an_after_effect_is_not_waited_for_as_if_it_had_one()
    {
        var bench = new Device(0.1, 20, 23);
        SettlingModel model = bench.Climb(bench.Climb(SettlingModel.Begin(1), Span, 30), 0, 30);
        SettlingForecast forecast = bench.Climb(model, Span, 3).Forecast(2)!.Value;

        // A tenth of the deviation that an after-effect is supposed to have.
        Assert.True(forecast.UncertaintyPascals < 0.00015 * Span, $"u {forecast.UncertaintyPascals} Pa");
    }

    [Fact]
    public void A_device_that_was_seen_before_is_told_sooner()
    {
        var known = new Device(2, 20, 3);
        SettlingModel learned = known.Climb(known.Climb(SettlingModel.Begin(1), Span, 30), 0, 30);
        double first = new Device(2, 20, 4).Climb(SettlingModel.Begin(1), 0.1 * Span, 2).Forecast(2)!.Value.UncertaintyPascals;

        Assert.True(known.Climb(learned, 0.1 * Span, 2).Forecast(2)!.Value.UncertaintyPascals < 0.5 * first);
    }

    [Fact]
    public void A_trim_of_the_pressure_shows_in_what_is_left()
    {
        var bench = new Device(2, 5, 6);
        SettlingModel model = bench.Climb(bench.Climb(SettlingModel.Begin(1), 0.5 * Span, 30), Span, 30);
        model = bench.Hold(model, 0.999 * Span, 1);
        SettlingForecast forecast = model.Forecast(2)!.Value;
        double missed = forecast.RemainingPascals - bench.TrueRest(2);

        Assert.True(bench.TrueRest(2) > 100, $"the trim left {bench.TrueRest(2)} Pa");
        Assert.True(forecast.RemainingPascals > 100, $"{forecast.RemainingPascals} Pa were seen of it");
        Assert.True(Math.Abs(missed) <= 3 * forecast.UncertaintyPascals, $"missed by {missed} Pa, u {forecast.UncertaintyPascals} Pa");
    }

    [Fact]
    public void A_reading_across_a_trim_tells_what_was_left_of_it()
    {
        var bench = new Device(2, 5, 7);
        SettlingModel model = bench.Climb(SettlingModel.Begin(1), Span, 30).BeginReading();
        model = bench.Hold(bench.Hold(model, Span, 1), 0.999 * Span, 1);

        Assert.InRange(Math.Abs(model.OverReading()!.Value.RemainingPascals), 100, 1500);
    }

    [Fact]
    public void A_knock_on_the_device_starts_its_point_anew()
    {
        var bench = new Device(0.5, 5, 8);
        SettlingModel model = bench.Hold(bench.Climb(SettlingModel.Begin(1), Span, 10), Span, 5);
        int before = model.Forecast(2)!.Value.Pairs;
        bench.Knock(400);
        model = bench.Hold(model, Span, 3);
        SettlingForecast after = model.Forecast(2)!.Value;

        Assert.True(after.Pairs < before, $"{before} pairs before, {after.Pairs} after");
        Assert.InRange(after.RemainingPascals, -4 * after.UncertaintyPascals, 4 * after.UncertaintyPascals);
    }

    [Fact]
    public void Adding_pairs_at_rest_never_makes_the_rest_less_certain_for_long()
    {
        var bench = new Device(1, 20, 10);
        SettlingModel model = bench.Climb(SettlingModel.Begin(1), Span, 3);
        double early = model.Forecast(2)!.Value.UncertaintyPascals;

        Assert.True(bench.Hold(model, Span, 20).Forecast(2)!.Value.UncertaintyPascals < early);
    }

    [Fact]
    public void Time_left_is_when_the_forecast_meets_the_bound()
    {
        var bench = new Device(2, 5, 11);
        SettlingModel model = bench.Climb(SettlingModel.Begin(1), Span, 2);
        double bound = 0.0005 * Span;
        double left = model.SecondsUntil(bound, 3, 2)!.Value;

        Assert.True(left > 1);
        Assert.True(model.Forecast(2)!.Value.Bound(3) > bound);
        Assert.True(bench.Hold(model, Span, left + 1).Forecast(2)!.Value.Bound(3) <= bound);
    }

    [Fact]
    public void Too_few_pairs_say_nothing() => Assert.Null(new Device(1, 5, 12).Climb(SettlingModel.Begin(1), Span, 0.5).Forecast(2));

    [Fact]
    public void Reference_noise_at_rest_is_not_taken_for_a_device_that_does_not_follow()
    {
        var bench = new Device(0.05, 5, 13) { ReferenceNoisePascals = 100 };
        SettlingModel model = bench.Climb(SettlingModel.Begin(1), Span, 30);
        SettlingForecast forecast = model.Forecast(2)!.Value;

        Assert.InRange(forecast.RemainingPascals, -3 * forecast.UncertaintyPascals, 3 * forecast.UncertaintyPascals);
    }

    /// <summary>A device with one lag, followed at ten pairs a second on exact arithmetic: the lag of a ramp has a closed form.</summary>
    private sealed class Device(double lagSeconds, double noisePascals, ulong seed)
    {
        private const double PairSeconds = 0.1;
        private const double RampPascalsPerSecond = 0.1 * Span;

        private readonly Pcg32 _noise = new(seed, 77);
        private double _pressure;
        private double _lagged;
        private double _behind;
        private double _offset = 150;
        private long _micros;

        public double ReferenceNoisePascals { get; init; }

        /// <summary>Share of a step that fades with the other time, and not with the lag.</summary>
        public double AfterEffect { get; init; }

        public double AfterEffectSeconds { get; init; } = 1;

        /// <summary>Mean error over a reading that begins now, less the error at rest.</summary>
        public double TrueRest(double readingSeconds) =>
            ((_lagged - _pressure) * MeanFade(readingSeconds, lagSeconds)) - (AfterEffect * _behind * MeanFade(readingSeconds, AfterEffectSeconds));

        public void Knock(double pascals) => _offset += pascals;

        public SettlingModel Climb(SettlingModel model, double to, double holdSeconds)
        {
            while (Math.Abs(_pressure - to) > 1e-6)
                model = model.Follow(Next(to));
            return Hold(model, to, holdSeconds);
        }

        public SettlingModel Hold(SettlingModel model, double at, double seconds)
        {
            for (int i = 0; i < Math.Round(seconds / PairSeconds); i++)
                model = model.Settle(Next(at));
            return model;
        }

        private static double MeanFade(double seconds, double tau) => tau / seconds * (1 - Math.Exp(-seconds / tau));

        private SettlingPair Next(double target)
        {
            double change = Math.Clamp(target - _pressure, -RampPascalsPerSecond * PairSeconds, RampPascalsPerSecond * PairSeconds);
            double rate = change / PairSeconds;
            double fade = Math.Exp(-PairSeconds / lagSeconds);
            // A first-order lag that follows a straight line, exactly.
            _lagged = (_pressure + change - (rate * lagSeconds)) + ((_lagged - _pressure + (rate * lagSeconds)) * fade);
            double slowFade = Math.Exp(-PairSeconds / AfterEffectSeconds);
            _behind = (_behind * slowFade) + (rate * AfterEffectSeconds * (1 - slowFade));
            _pressure += change;
            _micros += (long)(PairSeconds * 1e6);
            double told = _pressure + (ReferenceNoisePascals * _noise.NextNormal());
            return new SettlingPair(_micros, told, _lagged - (AfterEffect * _behind) + _offset + (noisePascals * _noise.NextNormal()) - told);
        }
    }
}
