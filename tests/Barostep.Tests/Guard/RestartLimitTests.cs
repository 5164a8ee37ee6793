using Barostep.Daemon.Guards;

namespace Barostep.Tests.Guard;

public sealed class RestartLimitTests
{
    private const long Minute = 60_000_000;

    [Fact]
    [Trait("SR", "39")]
    public void A_fourth_start_within_ten_minutes_is_refused_and_one_after_them_is_not()
    {
        var limit = new RestartLimit();
        Assert.True(limit.TryStart(Minute));
        Assert.True(limit.TryStart(2 * Minute));
        Assert.True(limit.TryStart(9 * Minute));

        Assert.False(limit.TryStart(10 * Minute));
        Assert.False(limit.TryStart((11 * Minute) - 1));
        Assert.True(limit.TryStart(11 * Minute));
        Assert.False(limit.TryStart(11 * Minute));
        Assert.True(limit.TryStart(12 * Minute));
    }
}
