using Barostep.Daemon.Simulation;
using Barostep.Records;
using Microsoft.Data.Sqlite;

namespace Barostep.Tests.Simulation;

/// <summary>Every serial write, journal append, flush and record write fails, one after another, until none is left to fail.</summary>
/// <remarks>
/// Serial writes and appends are some thousands: here every so many-th fails, each run at another place; BAROSTEP_EVERY_NTH=1
/// takes them all, in about five minutes.
/// </remarks>
public class FailTheNthTests
{
    private static readonly WorldPlan Plan = new(3, [], OnePoint: true);

    private static readonly int Stride = int.Parse(Environment.GetEnvironmentVariable("BAROSTEP_EVERY_NTH") ?? "41", System.Globalization.CultureInfo.InvariantCulture);

    [Fact]
    public void A_serial_write_that_fails_is_survived() =>
        FailEach(Stride, static (world, n) => world.FailingWrite = n, static world => world.Writes);

    [Fact]
    public void A_journal_append_that_fails_is_survived() =>
        FailEach(Stride, static (world, n) => world.Disk.FailingAppend = n, static world => world.Disk.Appends);

    [Fact]
    public void A_flush_that_fails_is_survived() =>
        FailEach(1, static (world, n) => world.Disk.FailingFlush = n, static world => world.Disk.Flushes);

    [Fact]
    public void A_record_write_that_fails_loses_nothing_that_was_acknowledged()
    {
        RunRecord record = Completed();
        int n = 1;
        while (Store(record, n))
            n++;
        Assert.True(n > 10, $"only {n} writes were tried");
    }

    private static void FailEach(int stride, Action<World, long> fail, Func<World, long> count)
    {
        long most = long.MaxValue;
        int tried = 0;
        for (long n = 1; n <= most; n += stride, tried++)
        {
            long reached = 0;
            SeedResult result = SeedRun.Of(Worlds.Source, Plan, prepare: world =>
            {
                fail(world, n);
                world.Faults.Expect(Daemon.Simulation.Faults.Reach.DiskFails | Daemon.Simulation.Faults.Reach.ReferenceBlind | Daemon.Simulation.Faults.Reach.SourceBlind);
            }, watch: world => reached = count(world));

            Assert.True(result.Violations.Count == 0, $"number {n} failed: {Worlds.Told(result)}");
            most = reached;
        }

        Assert.True(tried > 5, $"only {tried} places were tried");
    }

    private static RunRecord Completed()
    {
        RunRecord? record = null;
        SeedRun.Of(Worlds.Source, new WorldPlan(2, []), watch: world => record = world.Records[0]);
        return record!;
    }

    // Returns whether the nth write was reached, and failed.
    private static bool Store(RunRecord record, int n)
    {
        string folder = Directory.CreateTempSubdirectory("barostep-nth-").FullName;
        string path = Path.Combine(folder, "records.sqlite");
        try
        {
            int points = 0;
            int zeros = 0;
            bool failed = false;
            using (RunStore store = RunStore.Open(path))
            {
                Sabotage(path, n);
                try
                {
                    store.Begin(record with { Points = [], Zeros = [], LeakTest = null });
                    foreach (ZeroRecord zero in record.Zeros)
                    {
                        store.AddZero(record.Id, zero);
                        zeros++;
                    }

                    foreach (PointRecord point in record.Points)
                    {
                        store.AddPoint(record.Id, point);
                        points++;
                    }

                    store.End(record.Id, RunEnding.Of(record));
                }
                catch (Exception error) when (error is RunStoreException or SqliteException)
                {
                    failed = true;
                }
            }

            using RunStore again = RunStore.Open(path);
            RunRecord? kept = again.Get(record.Id);
            Assert.Equal(points, kept?.Points.Count ?? 0);
            Assert.Equal(zeros, kept?.Zeros.Count ?? 0);
            Assert.Equal(record.Points.Take(points).SelectMany(point => point.Samples), kept?.Points.SelectMany(point => point.Samples) ?? []);
            Assert.Equal(failed, (kept?.Outcome ?? RunOutcome.Incomplete) == RunOutcome.Incomplete);
            return failed;
        }
        finally
        {
            Directory.Delete(folder, recursive: true);
        }
    }

    private static void Sabotage(string path, int n)
    {
        string[] tables = ["runs", "zeros", "points", "samples", "endings"];
        string rows = string.Join(" + ", tables.Select(table => $"(SELECT count(*) FROM {table})"));
        using var connection = new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = path, Pooling = false }.ToString());
        connection.Open();
        foreach (string table in tables)
        {
            using SqliteCommand command = connection.CreateCommand();
            command.CommandText = $"CREATE TRIGGER fail_{table} BEFORE INSERT ON {table} WHEN {rows} = {n - 1} BEGIN SELECT RAISE(ABORT, 'disk I/O error'); END";
            command.ExecuteNonQuery();
        }
    }
}
