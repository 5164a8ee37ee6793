using Barostep.Configuration;
using Barostep.Control;
using Barostep.Daemon.Live;
using Barostep.Daemon.Sweeps;
using Barostep.Procedures;
using Barostep.Procedures.Prompts;
using Barostep.Records;
using Barostep.Safety;
using Barostep.Tests.Configuration;

namespace Barostep.Tests.Control;

/// <summary>Where answers come from: a terminal, a file, the interface.</summary>
public sealed class AnswerTests
{
    private static readonly WorkshopConfiguration Shipped = ShippedConfiguration.Load().Configuration;
    private static readonly DeviceDefinition Gauge = Shipped.Devices["dial-gauge"];

    [Fact]
    public void At_the_terminal_a_reading_that_cannot_stand_is_asked_for_again()
    {
        using var people = new StringWriter();
        var person = new PersonAtTerminal(new StringReader("4.13\n4.12\n"), people, Gauge, "Ada Vahl");

        PersonAnswer? answer = Until(() => person.Answers(Asked(7, PromptKind.ReadPointer)));

        Assert.Equal(new PersonAnswer(7, "4.12", "Ada Vahl"), answer);
        Assert.Contains("write 4.12 or 4.16", people.ToString(), StringComparison.Ordinal);
        Assert.Equal(answer, person.Answers(Asked(7, PromptKind.ReadPointer)));
        Assert.Null(person.Answers(null));
    }

    [Fact]
    public void A_file_of_answers_gives_one_line_to_each_question_and_none_to_what_waits_for_no_words()
    {
        using var people = new StringWriter();
        var person = new PersonAtTerminal(new StringReader("\n4.12\n4.16\n"), people, Gauge, "Ada Vahl");

        Assert.Equal("", Until(() => person.Answers(Asked(1, PromptKind.Confirm)))!.Text);
        Assert.Null(person.Answers(Asked(2, PromptKind.BringTo)));
        Assert.Equal("4.12", Until(() => person.Answers(Asked(3, PromptKind.ReadPointer)))!.Text);
        Assert.Equal("4.16", Until(() => person.Answers(Asked(4, PromptKind.ReadPointerTapped)))!.Text);
        Assert.True(Until(() =>
        {
            Assert.Null(person.Answers(Asked(5, PromptKind.ReadPointer)));
            return people.ToString().Contains("No more answers come", StringComparison.Ordinal) ? people : null;
        }) is not null);
    }

    [Fact]
    public void Of_two_people_who_answer_one_prompt_the_first_is_heard_and_the_second_told_so()
    {
        using RunSheet sheet = Sheet(Asked(7, PromptKind.ReadPointer));

        Assert.Equal(AnswerFate.TooLate, sheet.Answer(new PersonAnswer(6, "4.12", "Ada Vahl"), out _));
        Assert.Equal(AnswerFate.NoReading, sheet.Answer(new PersonAnswer(7, "4.13", "Ada Vahl"), out string? problem));
        Assert.Contains("write 4.12 or 4.16", problem, StringComparison.Ordinal);
        Assert.Equal(AnswerFate.Taken, sheet.Answer(new PersonAnswer(7, "4.12", "Ada Vahl"), out _));
        Assert.Equal(AnswerFate.AnsweredAlready, sheet.Answer(new PersonAnswer(7, "4.20", "Bo Lind"), out _));

        Assert.Equal(new PersonAnswer(7, "4.12", "Ada Vahl"), sheet.Signals.Answers(Asked(7, PromptKind.ReadPointer)));
        // Whoever is slower still is told so when the run has gone on.
        sheet.Cycle(default, new RunProgress(RunPhase.Reading, default, 1, 2, 0, 1, 0) { Prompt = Asked(8, PromptKind.ReadPointerTapped) });
        Assert.Equal(AnswerFate.AnsweredAlready, sheet.Answer(new PersonAnswer(7, "4.20", "Bo Lind"), out _));
        Assert.Null(sheet.Signals.Answers(Asked(8, PromptKind.ReadPointerTapped)));
    }

    [Fact]
    public void What_waits_for_no_words_takes_none()
    {
        using RunSheet sheet = Sheet(Asked(7, PromptKind.BringTo));

        Assert.Equal(AnswerFate.TooLate, sheet.Answer(new PersonAnswer(7, "done", "Ada Vahl"), out _));
        Assert.Null(sheet.Signals.Answers(Asked(7, PromptKind.BringTo)));
    }

    private static RunSheet Sheet(Prompt prompt)
    {
        var job = new SweepJob(Shipped.Benches["hand"], Gauge, Shipped.Procedures["hand-five-point"], Shipped.Origins, "run", Simulated: true);
        var sheet = new RunSheet(job, DateTimeOffset.UnixEpoch, new RunCounts());
        sheet.Cycle(default, new RunProgress(RunPhase.Reading, default, 1, 2, 0, 1, 0) { Prompt = prompt });
        return sheet;
    }

    private static Prompt Asked(int number, PromptKind kind) =>
        new(number, kind, Pressure.FromPascals(500_000), SeriesDirection.Ascending, 1, "?", 0, null);

    /// <summary>A line is read on a thread of its own.</summary>
    private static T? Until<T>(Func<T?> look)
        where T : class
    {
        T? found = null;
        Assert.True(SpinWait.SpinUntil(() => (found = look()) is not null, TimeSpan.FromSeconds(60)));
        return found;
    }
}
