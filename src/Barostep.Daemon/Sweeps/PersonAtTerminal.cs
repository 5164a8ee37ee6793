using Barostep.Configuration;
using Barostep.Procedures.Prompts;

namespace Barostep.Daemon.Sweeps;

/// <summary>Takes a person's answers line by line, from a terminal or a file, and waits without holding up the control cycle.</summary>
/// <param name="answers">Where the lines come from.</param>
/// <param name="people">Where the person is told how to answer.</param>
/// <param name="device">What is calibrated; decides which readings can stand.</param>
/// <param name="who">In whose name it is answered.</param>
internal sealed class PersonAtTerminal(TextReader answers, TextWriter people, DeviceDefinition device, string who)
{
    private int _asked;
    private bool _ended;
    private PersonAnswer? _given;
    private Task<string?>? _line;

    /// <summary>What is answered to what is asked now; null while nothing is asked, or not yet answered.</summary>
    public PersonAnswer? Answers(Prompt? prompt)
    {
        if (prompt is not { WantsAnswer: true })
        {
            _given = null;
            return null;
        }

        if (prompt.Number != _asked)
        {
            _asked = prompt.Number;
            _given = null;
            Ask(prompt);
        }

        if (_given is null && !_ended && _line is { IsCompletedSuccessfully: true } line)
        {
            _line = null;
            Take(prompt, line.Result);
        }

        return _given;
    }

    private void Ask(Prompt prompt)
    {
        people.WriteLine(prompt.WantsReading
            ? $"Enter the reading in {device.Unit}; Ctrl+C ends the run."
            : "Press Enter when that is done; Ctrl+C ends the run.");
        Listen();
    }

    private void Listen()
    {
        // A line that was begun before the question and is still open answers it: it was asked for all the same.
        if (!_ended)
            _line ??= Task.Factory.StartNew(answers.ReadLine, CancellationToken.None, TaskCreationOptions.LongRunning, TaskScheduler.Default);
    }

    private void Take(Prompt prompt, string? line)
    {
        string? problem = null;
        if (line is null)
        {
            _ended = true;
            people.WriteLine("No more answers come; the run ends when the time to answer is over, or with Ctrl+C.");
        }
        else if (prompt.WantsReading && !PointerEntry.TryRead(device, line, out _, out problem))
        {
            people.WriteLine(problem);
            Listen();
        }
        else
        {
            _given = new PersonAnswer(prompt.Number, line, who);
        }
    }
}
