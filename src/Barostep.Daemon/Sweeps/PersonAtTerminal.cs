namespace Barostep.Daemon.Sweeps;

/// <summary>Asks the person at the terminal, and waits for a line without holding up the control cycle.</summary>
internal sealed class PersonAtTerminal(TextReader answers, TextWriter people)
{
    private string? _asked;
    private Task<string?>? _answer;

    /// <summary>Whether what is asked now has been confirmed; nothing asked is nothing confirmed.</summary>
    /// <param name="request">What is asked; null while nothing is.</param>
    public bool Confirms(string? request)
    {
        if (request is null)
        {
            _asked = null;
            return false;
        }

        if (_asked is null)
        {
            _asked = request;
            people.WriteLine($"{request} Press Enter when that is done; Ctrl+C ends the run.");
            // A line that was begun before the question and is still open answers it: it was asked for all the same.
            _answer ??= Task.Factory.StartNew(answers.ReadLine, CancellationToken.None, TaskCreationOptions.LongRunning, TaskScheduler.Default);
        }

        if (_answer is not { IsCompletedSuccessfully: true, Result: not null })
            return false;
        _answer = null;
        return true;
    }
}
