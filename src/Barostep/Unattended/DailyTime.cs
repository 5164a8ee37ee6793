namespace Barostep.Unattended;

/// <summary>A time of day somewhere, as moments in UTC.</summary>
/// <param name="At">On the wall there.</param>
public sealed record DailyTime(TimeOnly At, TimeZoneInfo Zone)
{
    /// <summary>
    /// The first such moment after another. Where the clock skips the time in spring it is the first minute after the gap;
    /// where autumn shows it twice it is the first of the two.
    /// </summary>
    public DateTimeOffset After(DateTimeOffset utc)
    {
        var day = DateOnly.FromDateTime(TimeZoneInfo.ConvertTime(utc, Zone).DateTime);
        while (true)
        {
            DateTimeOffset moment = On(day);
            if (moment > utc)
                return moment;
            day = day.AddDays(1);
        }
    }

    private DateTimeOffset On(DateOnly day)
    {
        DateTime wall = day.ToDateTime(At);
        while (Zone.IsInvalidTime(wall))
            wall = wall.AddMinutes(1);
        TimeSpan offset = Zone.IsAmbiguousTime(wall) ? Zone.GetAmbiguousTimeOffsets(wall).Max() : Zone.GetUtcOffset(wall);
        return new DateTimeOffset(wall, offset).ToUniversalTime();
    }
}
