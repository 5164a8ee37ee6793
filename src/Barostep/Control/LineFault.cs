using System.Globalization;
using Barostep.Instruments;
using Barostep.Safety;

namespace Barostep.Control;

/// <summary>Says in words why nothing can be concluded from one of the guard half's lines.</summary>
internal static class LineFault
{
    /// <summary>A reading older than this tells nothing of now, whatever the bench's own limits say.</summary>
    public const long OldestMicros = 1_000_000;

    /// <summary>Ages that are told, s: a text that changed with every second would fill the log.</summary>
    private static readonly int[] ToldSeconds = [1, 3, 10, 30, 60, 300, 900, 3600];

    /// <summary>Role, port and what is wrong; null while the newest reading is good and in time.</summary>
    /// <param name="role">What the instrument is for.</param>
    /// <param name="driver">Its line.</param>
    /// <param name="reading">Its newest reading.</param>
    /// <param name="firstMicros">Since when readings have been waited for.</param>
    /// <param name="nowMicros">Now.</param>
    /// <param name="oldestMicros">Age at which a reading is no longer in time.</param>
    public static string? Of(
        string role, InstrumentDriver driver, in SensorReading reading, long firstMicros, long nowMicros, long oldestMicros)
    {
        string? told = driver.State switch
        {
            LinkState.WrongInstrument => driver.IdentityProblem,
            LinkState.Lost => "no understandable answer",
            LinkState.Closed => $"the line is not open. {driver.LineTrouble}".TrimEnd(),
            LinkState.Ready or LinkState.Identifying => Told(reading, firstMicros, nowMicros, oldestMicros),
            _ => throw new ArgumentOutOfRangeException(nameof(driver)),
        };
        // Nothing is put together while all is well: the guard's cycle allocates nothing then.
        return told switch
        {
            null => null,
            _ when driver.State == LinkState.WrongInstrument => $"{role} on port {told}",
            _ => $"{role} on port {driver.Fitted.Port}: {told}",
        };
    }

    private static string? Told(in SensorReading reading, long firstMicros, long nowMicros, long oldestMicros)
    {
        bool everGood = reading.AskedAtMicros > 0 || reading.IsGood;
        long age = nowMicros - (everGood ? reading.AskedAtMicros : firstMicros);
        bool old = reading.IsFitted && age > oldestMicros;
        return reading.Quality switch
        {
            ReadingQuality.NotFitted => null,
            ReadingQuality.Good or ReadingQuality.NoneYet => old ? NoneFor(age, oldestMicros) : null,
            ReadingQuality.WrongUnit => "it tells another unit, or gauge for absolute, than was set",
            ReadingQuality.OverRange => "it is over its range",
            ReadingQuality.NoReply => old ? $"{NoneFor(age, oldestMicros)}, it does not answer" : "it does not answer",
            ReadingQuality.Garbled => old ? $"{NoneFor(age, oldestMicros)}, its answers are not understood" : "its answer was not understood",
            ReadingQuality.LineLost => old ? NoneFor(age, oldestMicros) : "the line was lost and has only just come back",
            _ => throw new ArgumentOutOfRangeException(nameof(reading)),
        };
    }

    private static string NoneFor(long ageMicros, long oldestMicros)
    {
        int passed = ToldSeconds.LastOrDefault(seconds => ageMicros > seconds * 1_000_000L);
        double seconds = passed > 0 ? passed : oldestMicros / 1e6;
        return string.Create(CultureInfo.InvariantCulture, $"no good reading for more than {seconds:0.###} s");
    }
}
