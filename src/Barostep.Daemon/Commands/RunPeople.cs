using Barostep.Configuration;
using Barostep.Daemon.Sweeps;
using Barostep.Instruments;
using Barostep.Lines;
using Barostep.Procedures.Prompts;

namespace Barostep.Daemon.Commands;

/// <summary>Who answers what a run in the foreground asks: a file, the simulated bench's own person, or the one at the terminal.</summary>
internal sealed class RunPeople : IDisposable
{
    /// <summary>Of the line to a simulated person, who has no speed of their own.</summary>
    private const int PersonBaud = 9600;

    private readonly IDisposable? _from;

    private RunPeople(Func<Prompt?, PersonAnswer?>? answers, IDisposable? from = null)
    {
        Answers = answers;
        _from = from;
    }

    /// <summary>What is answered; null where nothing is asked but confirmations on a simulated bench.</summary>
    public Func<Prompt?, PersonAnswer?>? Answers { get; }

    /// <summary>Finds them.</summary>
    /// <param name="job">The run.</param>
    /// <param name="answersFile">One line an answer; null for none.</param>
    /// <param name="ports">Folder of a simulated bench's ports; null on a real one.</param>
    /// <param name="people">Where the person is told how to answer.</param>
    /// <exception cref="RefusedException">The file cannot be read.</exception>
    public static RunPeople Find(SweepJob job, string? answersFile, string? ports, TextWriter people)
    {
        string who = job.PerformedBy.Length == 0 ? Environment.UserName : job.PerformedBy;
        if (answersFile is not null)
        {
            var lines = new StringReader(InputFile.ReadText(answersFile));
            return new RunPeople(new PersonAtTerminal(lines, people, job.Device, who).Answers, lines);
        }

        bool asks = job.Bench.Person is not null || job.Device.Dial is not null;
        if (ports is not null && asks && File.Exists(Path.Combine(ports, SimulatedPerson.Port)))
        {
            var settings = new LineSettings(PersonBaud, 8, LineParity.None, 1);
            SerialLine line = SerialLine.Open(Path.Combine(ports, SimulatedPerson.Port), settings, PersonBaud, static () => { });
            return new RunPeople(new SimulatedPerson(line, BenchLimits.AtmosphereOf(job.Bench)).Answers, line);
        }

        return new RunPeople(job.Simulated && !asks ? null : new PersonAtTerminal(Console.In, people, job.Device, who).Answers);
    }

    public void Dispose() => _from?.Dispose();
}
