using System.Text;
using System.Text.RegularExpressions;
using Barostep.Daemon.Live;
using Barostep.Lines.GuardLine;
using Microsoft.AspNetCore.Http;

namespace Barostep.Daemon.Api;

/// <summary>Holds what a request names to what there is, before anything looks for it.</summary>
internal static partial class Identifiers
{
    /// <exception cref="ProblemException">There is no such bench.</exception>
    public static BenchBoard Bench(IReadOnlyDictionary<string, BenchBoard> boards, string name) => boards.TryGetValue(name, out BenchBoard? board)
        ? board
        : throw new ProblemException(
            StatusCodes.Status404NotFound, "No such bench", $"This daemon serves: {string.Join(", ", boards.Keys.Order(StringComparer.Ordinal))}.");

    /// <exception cref="ProblemException">It cannot be a run's id.</exception>
    public static string Run(string id) => RunId().IsMatch(id)
        ? id
        : throw new ProblemException(StatusCodes.Status400BadRequest, "No run id", "A run's id has up to 36 characters: 0-9, a-f and hyphens.");

    /// <exception cref="ProblemException">It cannot name a device.</exception>
    public static string Device(string name) => DeviceName().IsMatch(name) && !name.Contains("..", StringComparison.Ordinal)
        ? name
        : throw new ProblemException(
            StatusCodes.Status400BadRequest, "No device name", "Write a device's name, tag or serial number: up to 64 letters, digits, spaces, dots, hyphens, underscores.");

    /// <exception cref="ProblemException">It is empty or too long for the journal.</exception>
    public static string Person(string who) => Text(who, "who", RecordSizes.Name);

    /// <exception cref="ProblemException">It is empty or too long for the journal.</exception>
    public static string Reason(string why) => Text(why, "why", RecordSizes.Reason);

    private static string Text(string text, string member, int mostBytes)
    {
        string trimmed = text.Trim();
        return trimmed.Length > 0 && Encoding.UTF8.GetByteCount(trimmed) <= mostBytes && !trimmed.Any(char.IsControl)
            ? trimmed
            : throw new ProblemException(StatusCodes.Status400BadRequest, "Not understood", $"'{member}' must hold 1 to {mostBytes} bytes of text.");
    }

    [GeneratedRegex("^[0-9a-f-]{4,36}$")]
    private static partial Regex RunId();

    [GeneratedRegex("^[\\p{L}\\p{Nd}][\\p{L}\\p{Nd} ._-]{0,63}$")]
    private static partial Regex DeviceName();
}
