using Barostep.Evaluation;
using Barostep.Procedures.Prompts;
using Barostep.Records;
using CsCheck;
using Microsoft.Data.Sqlite;

namespace Barostep.Tests.Records;

public sealed class RunStoreTests : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("barostep-store-");

    public void Dispose() => _folder.Delete(recursive: true);

    [Fact]
    public void What_people_answered_comes_back_from_store_and_file_as_it_was()
    {
        RunRecord asked = SampleRuns.Run(SampleRuns.Transmitter, SampleRuns.UpAndDown, (_, _, _) => 0) with
        {
            Answers =
            [
                new AnswerRecord(1, PromptKind.Confirm, 0, "Fitted?", 10, "", "Ada Vahl", 20),
                new AnswerRecord(4, PromptKind.ReadPointer, 1, "Where?", 30, "4.12 bar", "Bo Lind", 40) { ReferencePascals = 411_000.5, IndicationPascals = 412_000 },
            ],
        };
        using RunStore store = RunStore.Open(PathOf("answers.db"));
        store.Save(asked);

        Assert.Equal(asked.Answers, store.Get(asked.Id)!.Answers);
        using var file = new MemoryStream();
        RunJson.Write(file, Barostep.Evaluation.RunEvaluation.Evaluate(asked));
        file.Position = 0;
        Assert.Equal(asked.Answers, RunJson.Read(file).Answers);
        Assert.ThrowsAny<Exception>(() => store.AddAnswer(asked.Id, asked.Answers[0]));
    }

    [Fact]
    public void Any_saved_run_comes_back_as_it_was()
    {
        using RunStore store = RunStore.Open(PathOf("runs.db"));
        SampleRuns.Random.Sample(
            record =>
            {
                store.Save(record);
                Assert.Equal(RunJsonTests.Written(record), RunJsonTests.Written(store.Get(record.Id)!));
            },
            iter: 60,
            threads: 1);
    }

    [Fact]
    public void A_run_written_step_by_step_is_the_run_written_in_one_piece()
    {
        RunRecord record = Example();
        using RunStore store = RunStore.Open(PathOf("runs.db"));

        store.Begin(record with { Zeros = [], Points = [] });
        store.AddZero(record.Id, record.Zeros[0]);
        foreach (PointRecord point in record.Points)
            store.AddPoint(record.Id, point);
        store.AddZero(record.Id, record.Zeros[1]);
        store.End(record.Id, RunEnding.Of(record));

        Assert.Equal(RunJsonTests.Written(record), RunJsonTests.Written(store.Get(record.Id)!));
    }

    [Fact]
    public void A_run_without_an_ending_is_incomplete_and_not_decided()
    {
        RunRecord record = Example();
        using RunStore store = RunStore.Open(PathOf("runs.db"));
        store.Begin(record);
        store.AddPoint(record.Id, record.Points[0]);

        RunRecord read = store.Get(record.Id)!;

        Assert.Equal(RunOutcome.Incomplete, read.Outcome);
        Assert.False(read.VentConfirmed);
        Assert.Equal(record.CeilingPascals, read.CeilingPascals);
        Assert.Equal(Conformity.NotDecided, RunEvaluation.Evaluate(read).Conformity);
        Assert.Equal(RunOutcome.Incomplete, Assert.Single(store.List(1)).Outcome);
    }

    [Fact]
    public void Wherever_the_log_is_cut_off_the_points_before_the_cut_are_there()
    {
        RunRecord record = Example();
        string live = PathOf("live.db");
        byte[] database;
        byte[] log;
        using (RunStore store = RunStore.Open(live))
        {
            store.Begin(record);
            foreach (PointRecord point in record.Points)
                store.AddPoint(record.Id, point);
            // The file and its log as a crash at this moment would leave them.
            database = Shared(live);
            log = Shared($"{live}-wal");
        }

        List<int> survived = [];
        for (int cut = 0; cut <= log.Length; cut += Math.Max(1, (log.Length / 60) + 7))
            survived.Add(PointsAfterCrash(database, log.AsSpan(0, cut)));
        survived.Add(PointsAfterCrash(database, log));

        Assert.Equal(record.Points.Count, survived[^1]);
        Assert.Equal(survived.Order(), survived);
        Assert.True(survived.Distinct().Count() > record.Points.Count / 2, "the cuts fell between too few points to show anything");

        int PointsAfterCrash(byte[] file, ReadOnlySpan<byte> cutLog)
        {
            string path = PathOf($"crash-{survived.Count}.db");
            File.WriteAllBytes(path, file);
            File.WriteAllBytes($"{path}-wal", cutLog.ToArray());
            using RunStore store = RunStore.Open(path);
            IReadOnlyList<PointRecord> points = store.Get(record.Id)?.Points ?? [];
            Assert.Equal(record.Points.Take(points.Count).Select(point => point.Index), points.Select(point => point.Index));
            Assert.All(points, point => Assert.Equal(record.Points[point.Index - 1].Samples, point.Samples));
            return points.Count;
        }
    }

    [Theory]
    [InlineData("UPDATE samples SET reference = 0")]
    [InlineData("DELETE FROM samples")]
    [InlineData("UPDATE points SET marks = 0")]
    [InlineData("DELETE FROM points")]
    [InlineData("UPDATE zeros SET before_series = 0")]
    [InlineData("DELETE FROM zeros")]
    [InlineData("UPDATE runs SET bench = ''")]
    [InlineData("DELETE FROM runs")]
    [InlineData("UPDATE endings SET outcome = 'completed'")]
    [InlineData("DELETE FROM endings")]
    [InlineData("UPDATE results SET verdict = 'passed'")]
    [InlineData("DELETE FROM results")]
    [InlineData("UPDATE devices SET model = ''")]
    [InlineData("DELETE FROM devices")]
    public void No_row_is_ever_changed_or_deleted(string statement)
    {
        string path = PathOf("runs.db");
        using RunStore store = RunStore.Open(path);
        store.Save(Example());

        SqliteException refused = Assert.Throws<SqliteException>(() => Execute(path, statement));

        Assert.Contains("records are never", refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Nothing_is_added_to_a_run_that_has_ended_or_never_began()
    {
        RunRecord record = Example();
        using RunStore store = RunStore.Open(PathOf("runs.db"));
        Assert.Contains("begin it first", Assert.Throws<RunStoreException>(() => store.AddPoint(record.Id, record.Points[0])).Message, StringComparison.Ordinal);
        store.Save(record);

        Assert.Contains("has ended", Assert.Throws<RunStoreException>(() => store.AddPoint(record.Id, record.Points[0] with { Index = 99 })).Message, StringComparison.Ordinal);
        Assert.Contains("has ended", Assert.Throws<RunStoreException>(() => store.AddZero(record.Id, record.Zeros[0])).Message, StringComparison.Ordinal);
        Assert.Contains("has ended", Assert.Throws<RunStoreException>(() => store.End(record.Id, RunEnding.Of(record))).Message, StringComparison.Ordinal);
        Assert.Contains("stored once", Assert.Throws<RunStoreException>(() => store.Save(record)).Message, StringComparison.Ordinal);
        Assert.Equal(record.Points.Count, store.Get(record.Id)!.Points.Count);
    }

    [Fact]
    public void A_newer_store_is_refused_and_left_as_it_is()
    {
        string path = PathOf("runs.db");
        using (RunStore store = RunStore.Open(path))
            store.Save(Example());
        Execute(path, "PRAGMA user_version = 99");
        byte[] before = File.ReadAllBytes(path);

        RunStoreException refused = Assert.Throws<RunStoreException>(() => RunStore.Open(path));

        Assert.Contains("schema version 99, but this program knows versions up to 6", refused.Message, StringComparison.Ordinal);
        Assert.Equal(before, File.ReadAllBytes(path));
    }

    [Fact]
    public void Rejects_a_text_file_and_a_database_of_something_else()
    {
        File.WriteAllText(PathOf("notes.db"), string.Concat(Enumerable.Repeat("pressure notes, not a database. ", 64)));
        Assert.Contains("is no run store or is damaged", Assert.Throws<RunStoreException>(() => RunStore.Open(PathOf("notes.db"))).Message, StringComparison.Ordinal);

        Execute(PathOf("other.db"), "CREATE TABLE recipes (name TEXT)");
        Assert.Contains("something else", Assert.Throws<RunStoreException>(() => RunStore.Open(PathOf("other.db"))).Message, StringComparison.Ordinal);
    }

    [Fact]
    public void The_list_is_newest_first_and_paged_and_the_history_is_of_one_device()
    {
        using RunStore store = RunStore.Open(PathOf("runs.db"));
        RunRecord example = Example();
        for (int day = 0; day < 5; day++)
        {
            store.Save(example with
            {
                Id = $"run-{day}",
                StartedUtc = example.StartedUtc.AddDays(day),
                Device = day == 2 ? SampleRuns.DigitalGauge with { SerialNumber = "DH-0999" } : example.Device,
                Points = day == 2 ? [] : example.Points,
            });
        }

        Assert.Equal(["run-4", "run-3"], store.List(1, 2).Select(run => run.Id));
        Assert.Equal(["run-0"], store.List(3, 2).Select(run => run.Id));
        Assert.Equal(
            ["run-4", "run-3", "run-1", "run-0"],
            store.DeviceHistory(example.Device.Manufacturer, example.Device.Model, example.Device.SerialNumber).Select(run => run.Id));
        Assert.Equal(Conformity.Passed, store.List(1, 1)[0].Conformity);
        Assert.Equal(example.Points.Count, store.List(1, 1)[0].Points);
    }

    [Fact]
    public void A_reader_sees_the_points_while_the_run_is_written_from_another_store()
    {
        string path = PathOf("runs.db");
        RunRecord record = Example();
        using RunStore writer = RunStore.Open(path);
        using RunStore reader = RunStore.Open(path);
        writer.Begin(record);
        writer.AddPoint(record.Id, record.Points[0]);

        Assert.Single(reader.Get(record.Id)!.Points);
        writer.AddPoint(record.Id, record.Points[1]);
        Assert.Equal(2, reader.Get(record.Id)!.Points.Count);
    }

    private static RunRecord Example() =>
        SampleRuns.Run(SampleRuns.Transmitter, SampleRuns.UpAndDown, (_, _, share) => 0.002 - (0.0035 * share));

    // The store keeps the file open, so it has to be read as another process would.
    private static byte[] Shared(string path)
    {
        using FileStream file = new(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite);
        byte[] bytes = new byte[file.Length];
        file.ReadExactly(bytes);
        return bytes;
    }

    private static void Execute(string path, string statement)
    {
        using SqliteConnection connection = new($"Data Source={path};Pooling=False");
        connection.Open();
        using SqliteCommand command = connection.CreateCommand();
#pragma warning disable CA2100 // The statements are the constants of this file.
        command.CommandText = statement;
#pragma warning restore CA2100
        command.ExecuteNonQuery();
    }

    private string PathOf(string name) => Path.Combine(_folder.FullName, name);
}
