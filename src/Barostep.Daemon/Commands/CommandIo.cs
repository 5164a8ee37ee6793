namespace Barostep.Daemon.Commands;

/// <summary>Where a command writes: results on one stream, what is for people on the other.</summary>
/// <param name="Out">Results; with <c>--json</c> one document and nothing else.</param>
/// <param name="Error">Progress and messages.</param>
/// <param name="IsInteractive">Whether a line on <paramref name="Error"/> may be drawn over.</param>
internal sealed record CommandIo(TextWriter Out, TextWriter Error, bool IsInteractive)
{
    public static CommandIo Console { get; } = new(
        System.Console.Out, System.Console.Error, !System.Console.IsErrorRedirected && !System.Console.IsOutputRedirected);
}
