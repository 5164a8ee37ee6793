using System.Globalization;
using System.Text;
using Barostep.Instruments;
using Barostep.Procedures.Prompts;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Daemon.Sweeps;

/// <summary>The way to the person of a simulated bench: prompts go out as lines, and answers come back as lines.</summary>
/// <param name="line">Leads to the simulated bench's port of that name.</param>
/// <param name="atmosphere">What gauge pressures count from.</param>
internal sealed class SimulatedPerson(IByteLine line, Pressure atmosphere)
{
    /// <summary>Name of the port.</summary>
    public const string Port = "person";

    private readonly StringBuilder _heard = new();
    private readonly byte[] _buffer = new byte[256];
    private int _told;
    private PersonAnswer? _given;

    /// <summary>Tells the person what is asked, once, and hears what they answer.</summary>
    public PersonAnswer? Answers(Prompt? prompt)
    {
        Listen();
        if (prompt is null)
            return null;
        if (prompt.Number != _told && line.Send(Encoding.ASCII.GetBytes($"{prompt.Number} {WordsFor(prompt)}\n")))
            _told = prompt.Number;
        return _given?.Prompt == prompt.Number ? _given : null;
    }

    private string WordsFor(Prompt prompt)
    {
        bool rising = prompt.Direction == SeriesDirection.Ascending;
        return prompt.Kind switch
        {
            PromptKind.Confirm => "CONFIRM",
            PromptKind.BringTo => rising ? $"RAISE {Bar(prompt)}" : $"LOWER {Bar(prompt)}",
            // Back is the other way: below a point that was passed from below.
            PromptKind.BringBack => rising ? $"LOWER {Bar(prompt)}" : $"RAISE {Bar(prompt)}",
            PromptKind.HandsOff => "HANDSOFF",
            PromptKind.Release => "RELEASE",
            PromptKind.ReadPointer => "READ",
            PromptKind.ReadPointerTapped => "TAPREAD",
            PromptKind.SetOnMark => rising ? $"MARKUP {Bar(prompt)}" : $"MARKDOWN {Bar(prompt)}",
            PromptKind.SetOnMarkTapped => $"TAPMARK {Bar(prompt)}",
            _ => throw new ArgumentOutOfRangeException(nameof(prompt), prompt.Kind, "unknown prompt"),
        };
    }

    private string Bar(Prompt prompt) => ((prompt.Target - atmosphere).Pascals / 1e5).ToString("0.00000", CultureInfo.InvariantCulture);

    private void Listen()
    {
        for (int count = line.Receive(_buffer); count > 0; count = line.Receive(_buffer))
        {
            foreach (byte one in _buffer.AsSpan(0, count))
            {
                if (one != '\n')
                {
                    _heard.Append((char)one);
                    continue;
                }

                Take(_heard.ToString());
                _heard.Clear();
            }
        }
    }

    private void Take(string said)
    {
        int space = said.IndexOf(' ', StringComparison.Ordinal);
        if (space > 0 && int.TryParse(said.AsSpan(0, space), NumberStyles.None, CultureInfo.InvariantCulture, out int number))
            _given = new PersonAnswer(number, said[(space + 1)..], "simulated person");
    }
}
