using Barostep.Safety;

namespace Barostep.Tests.Safety;

public sealed class SafetyLimitsTests
{
    private static readonly Pressure Atmosphere = Rig.Atmosphere;

    [Fact]
    [Trait("SR", "01")]
    public void The_lowest_ceiling_and_the_highest_floor_govern_and_the_first_of_equals_is_named()
    {
        var limits = new SafetyLimits(
            [
                new("hose", Pressure.FromPascals(2_000_000), Pressure.FromPascals(10_000), "bench.toml:4"),
                new("device", Pressure.FromPascals(1_600_000), null, "device.toml:7"),
                new("operator", Pressure.FromPascals(1_600_000), Pressure.FromPascals(60_000), "bench.toml:2"),
            ],
            Atmosphere,
            1_000);
        Assert.Equal(("device", 1_600_000.0), (limits.CeilingGovernedBy.Source, limits.EffectiveCeiling.Pascals));
        Assert.Equal(("operator", 60_000.0), (limits.FloorGovernedBy.Source, limits.EffectiveFloor.Pascals));
        Assert.Equal(30_000, limits.SetPointMargin.Pascals);
        Assert.Equal(7_500, limits.AgreementTolerance.Pascals);
        Assert.Equal(15_000, limits.NearBand.Pascals);
    }

    [Fact]
    [Trait("SR", "01")]
    public void Rejects_limits_without_a_ceiling_or_a_floor_or_with_the_atmosphere_outside()
    {
        Assert.Contains("ceiling", Refusal(null, 50_000), StringComparison.Ordinal);
        Assert.Contains("floor", Refusal(200_000, null), StringComparison.Ordinal);
        Assert.Contains("bench.toml:3", Refusal(100_000, 50_000), StringComparison.Ordinal);
        Assert.Contains("bench.toml:3", Refusal(200_000, 100_000), StringComparison.Ordinal);
    }

    [Fact]
    public void Rejects_a_rate_that_is_not_above_zero() => Assert.Throws<ArgumentOutOfRangeException>(() =>
        new SafetyLimits([new("hose", Pressure.FromPascals(200_000), Pressure.Vacuum, "bench.toml:3")], Atmosphere, 0));

    [Fact]
    public void A_cause_set_lists_its_causes_in_first_out_order_and_knows_its_members()
    {
        CauseSet set = CauseSet.Empty.With(Cause.RequestRefused).With(Cause.OverCeiling).With(Cause.None);
        var listed = new List<Cause>();
        foreach (Cause cause in set)
            listed.Add(cause);
        Assert.Equal([Cause.OverCeiling, Cause.RequestRefused], listed);
        Assert.Equal("OverCeiling, RequestRefused", set.ToString());
        Assert.Equal("none", CauseSet.Empty.ToString());
        Assert.True(set.Contains(Cause.OverCeiling) && !set.Contains(Cause.UnderFloor) && !set.Contains(Cause.None));
        Assert.Equal(CauseSet.Of(Cause.RequestRefused), set - CauseSet.Of(Cause.OverCeiling));
        Assert.Equal(CauseSet.Of(Cause.OverCeiling), set & CauseSet.Of(Cause.OverCeiling));
    }

    private static string Refusal(double? ceilingPascals, double? floorPascals) => Assert.Throws<ArgumentException>(() => new SafetyLimits(
        [
            new LimitContribution(
                "hose",
                ceilingPascals is { } c ? Pressure.FromPascals(c) : null,
                floorPascals is { } f ? Pressure.FromPascals(f) : null,
                "bench.toml:3"),
        ],
        Atmosphere,
        1_000)).Message;
}
