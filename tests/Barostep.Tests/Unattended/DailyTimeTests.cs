using Barostep.Unattended;

namespace Barostep.Tests.Unattended;

/// <summary>A time of day in a place, through the nights on which its clocks are changed.</summary>
public sealed class DailyTimeTests
{
    // Clocks in Vienna go from 02:00 to 03:00 on 29 March 2026 and from 03:00 to 02:00 on 25 October 2026 (the time zone
    // database of this machine; the European rule of the last Sunday).
    [Theory]
    [InlineData("06:30", "2026-11-25T04:00Z", "2026-11-25T05:30Z")]
    [InlineData("06:30", "2026-11-25T05:30Z", "2026-11-26T05:30Z")]
    [InlineData("06:30", "2026-03-28T12:00Z", "2026-03-29T04:30Z")]
    [InlineData("06:30", "2026-10-24T12:00Z", "2026-10-25T05:30Z")]
    [InlineData("02:30", "2026-03-28T12:00Z", "2026-03-29T01:00Z")]
    [InlineData("02:30", "2026-10-24T12:00Z", "2026-10-25T00:30Z")]
    [InlineData("02:30", "2026-10-25T00:30Z", "2026-10-26T01:30Z")]
    [InlineData("00:15", "2026-06-30T23:00Z", "2026-07-01T22:15Z")]
    public void The_next_moment_is_once_a_day_by_the_clock_on_the_wall(string at, string after, string expected)
    {
        var daily = new DailyTime(TimeOnly.Parse(at, System.Globalization.CultureInfo.InvariantCulture), TimeZoneInfo.FindSystemTimeZoneById("Europe/Vienna"));

        Assert.Equal(Moment(expected), daily.After(Moment(after)));
    }

    private static DateTimeOffset Moment(string text) => DateTimeOffset.Parse(text, System.Globalization.CultureInfo.InvariantCulture);
}
