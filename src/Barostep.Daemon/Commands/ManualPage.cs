using System.CommandLine;
using System.Text;

namespace Barostep.Daemon.Commands;

/// <summary>The manual page barostep(1), made of the commands themselves: what <c>--help</c> tells is all that it tells.</summary>
internal sealed class ManualPage
{
    private const string Start = """
        .SH EXAMPLES
        .TP
        .B barostep demo \-\-out out
        A whole calibration on a bench that does not exist.
        .TP
        .B barostep serve \-\-demo
        The operator page on that bench.
        .TP
        .B barostep check && barostep limits \-\-bench NAME
        Is the configuration right, and how far past its ceiling can the bench go?
        .TP
        .B barostep vent \-\-bench NAME
        Vents, whatever else goes on.
        .SH EXIT STATUS
        .TP
        .B 0
        done, and the device passed where that was decided
        .TP
        .B 1
        done, and the device failed its tolerance
        .TP
        .B 2
        usage or configuration error, or refused before any pressure
        .TP
        .B 3
        safety trip
        .TP
        .B 4
        an instrument or its line failed
        .TP
        .B 5
        a journal or a record does not verify
        .TP
        .B 130
        stopped by the operator
        .PP
        Whatever the status, the bench was vented, or the message says that this
        could not be confirmed.
        .SH ENVIRONMENT
        .TP
        .B OTEL_EXPORTER_OTLP_ENDPOINT
        collector that metrics and traces are sent to; without it nothing leaves
        the machine
        .SH FILES
        .TP
        .I /etc/barostep
        configuration of a bench that a package installed
        .TP
        .I /var/lib/barostep
        its records and journals
        .SH SAFETY
        Compressed gas stores energy, and software is not a relief device.
        Fit a relief valve below the lowest rating and a way to vent by hand.

        """;

    private const int LongestLine = 78;

    private readonly StringBuilder _text = new();

    private ManualPage()
    {
    }

    /// <param name="root">All commands.</param>
    /// <returns>The page in the man(7) macros.</returns>
    public static string Of(RootCommand root)
    {
        var page = new ManualPage();
        page._text.Append(".TH BAROSTEP 1 \"\" \"Barostep ").Append(ProgramVersion.Text).Append("\" \"User Commands\"\n");
        page._text.Append(".SH NAME\nbarostep \\- unattended pressure calibrations\n.SH SYNOPSIS\n.B barostep\n.I command\n.RI [ options ]\n");
        page._text.Append(".SH DESCRIPTION\n").Append(Lines(root.Description)).Append('\n');
        page.Options(root, ".SH OPTIONS\n");
        page._text.Append(".SH COMMANDS\n");
        foreach (Command command in root.Subcommands.Where(one => !one.Hidden))
            page.Command(command, "barostep");
        page._text.Append(Start.ReplaceLineEndings("\n"));
        return page._text.ToString();
    }

    private void Command(Command command, string above)
    {
        string name = $"{above} {command.Name}";
        if (command.Subcommands.Count == 0)
        {
            string arguments = string.Concat(command.Arguments.Where(one => !one.Hidden).Select(one => $" {one.HelpName ?? one.Name.ToUpperInvariant()}"));
            _text.Append(".SS ").Append(Text(name + arguments)).Append('\n').Append(Lines(command.Description)).Append('\n');
            foreach (Argument argument in command.Arguments.Where(one => !one.Hidden))
                Entry($".I {Text(argument.HelpName ?? argument.Name.ToUpperInvariant())}", argument.Description);
            Options(command, string.Empty);
        }

        foreach (Command below in command.Subcommands.Where(one => !one.Hidden))
            Command(below, name);
    }

    private void Options(Command command, string head)
    {
        Option[] shown = [.. command.Options.Where(one => !one.Hidden)];
        if (shown.Length > 0)
            _text.Append(head);
        foreach (Option option in shown)
        {
            string value = option.ValueType == typeof(bool) || option.ValueType == typeof(void) || option.Arity.MaximumNumberOfValues == 0
                ? string.Empty
                : $" \\fI{Text(option.HelpName ?? option.Name.TrimStart('-'))}\\fR";
            Entry($".B {string.Join(", ", option.Aliases.Where(one => one[0] == '-').Prepend(option.Name).Select(Text))}{value}", Told(option));
        }
    }

    private static string Told(Option option)
    {
        string needed = option.Required ? " (required)" : string.Empty;
        string usual = !option.Required && option.HasDefaultValue && option.ValueType != typeof(bool) && option.GetDefaultValue() is { } value
            ? string.Create(System.Globalization.CultureInfo.InvariantCulture, $" (default: {value})")
            : string.Empty;
        return option.Description + needed + usual;
    }

    private void Entry(string tag, string? description) => _text.Append(".TP\n").Append(tag).Append('\n').Append(Lines(description)).Append('\n');

    /// <summary>Text for people in lines that an editor shows whole.</summary>
    private static string Lines(string? plain)
    {
        var lines = new StringBuilder();
        int length = 0;
        foreach (string word in Text(plain).Split(' ', StringSplitOptions.RemoveEmptyEntries))
        {
            bool fits = length + word.Length < LongestLine;
            // A line that begins with a point or a quotation mark would be a request.
            string first = word[0] is '.' or '\'' ? $"\\&{word}" : word;
            lines.Append(length == 0 ? string.Empty : fits ? " " : "\n").Append(first);
            length = fits ? length + first.Length + 1 : first.Length;
        }

        return lines.ToString();
    }

    /// <summary>A hyphen would become a dash.</summary>
    private static string Text(string? plain) =>
        (plain ?? string.Empty).Replace("\\", "\\e", StringComparison.Ordinal).Replace("-", "\\-", StringComparison.Ordinal).ReplaceLineEndings(" ");
}
