using Barostep.Configuration;
using Barostep.Daemon.Live;
using Barostep.Daemon.Sweeps;
using Barostep.Daemon.Unattended;
using Barostep.Lines;
using Barostep.Procedures;
using Barostep.Records;
using Barostep.Safety;
using Barostep.Tests.Configuration;
using Barostep.Unattended;
using Microsoft.Extensions.Logging.Abstractions;

namespace Barostep.Tests.Unattended;

/// <summary>The queue over the real store, with runs that end as each test says.</summary>
public sealed class RunQueueTests : IDisposable
{
    private const string Device = "transmitter-16bar";
    private static readonly WorkshopConfiguration Workshop = ShippedConfiguration.Load().Configuration;

    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("barostep-queue-");
    private readonly List<RunSheet> _begun = [];
    private readonly List<Notice> _told = [];
    private readonly Dictionary<string, BenchBoard> _boards = new() { ["demo"] = new BenchBoard(Workshop.Benches["demo"], simulated: true, TimeProvider.System) };
    private RunStore _store;
    private RunQueue _queue;
    private Cause _trip;
    private string? _refusal;

    public RunQueueTests()
    {
        _store = RunStore.Open(StorePath);
        _queue = New();
    }

    private string StorePath => Path.Combine(_folder.FullName, "records.sqlite");

    public void Dispose()
    {
        _begun.ForEach(sheet => sheet.Dispose());
        _store.Dispose();
        _folder.Delete(recursive: true);
    }

    [Fact]
    public async Task Nothing_begins_before_a_person_starts_the_queue_and_then_one_after_the_other()
    {
        Add();
        Add();
        await _queue.StepAsync();
        Assert.Empty(_begun);

        _queue.Start("demo", Device, "Ada Vahl");
        await _queue.StepAsync();
        await _queue.StepAsync();
        Assert.Single(_begun);
        Assert.Equal([QueueState.Running, QueueState.Waiting], _store.Queue.Open().Select(run => run.State));

        End(_begun[0], RunOutcome.Completed);
        await _queue.StepAsync();
        await _queue.StepAsync();
        Assert.Equal(2, _begun.Count);
        QueuedRun over = Assert.Single(_store.Queue.Over(10));
        Assert.Equal((QueueState.Ended, _begun[0].Look().Job.RunId), (over.State, over.RunId));
    }

    [Theory]
    [InlineData(OnFailure.Stop, RunOutcome.InstrumentFailure, false)]
    [InlineData(OnFailure.GoOn, RunOutcome.InstrumentFailure, true)]
    [InlineData(OnFailure.GoOn, RunOutcome.Tripped, false)]
    [InlineData(OnFailure.GoOn, RunOutcome.Stopped, false)]
    public async Task After_a_failure_the_next_begins_only_where_that_was_wished(OnFailure wished, RunOutcome outcome, bool goesOn)
    {
        Add(wished);
        Add(wished);
        _queue.Start("demo", Device, "Ada Vahl");
        await _queue.StepAsync();
        End(_begun[0], outcome);
        await _queue.StepAsync();
        await _queue.StepAsync();

        Assert.Equal(goesOn ? 2 : 1, _begun.Count);
        Assert.Equal(goesOn, _queue.Look("demo").Mounted is not null);
        Assert.Equal(goesOn ? 0 : 1, _told.Count(notice => notice.Kind == NoticeKind.Waiting && notice.Title.Contains("1 more wait", StringComparison.Ordinal)));
    }

    [Fact]
    public async Task After_the_power_was_lost_nothing_begins_and_people_are_told_what_was_interrupted()
    {
        Add();
        Add();
        _queue.Start("demo", Device, "Ada Vahl");
        await _queue.StepAsync();
        string cut = _begun[0].Look().Job.RunId;

        // As a process finds it that comes after one that was killed.
        _store.Dispose();
        _store = RunStore.Open(StorePath);
        _queue = New();
        _queue.Recover();
        await _queue.StepAsync();

        Assert.Single(_begun);
        QueuedRun interrupted = Assert.Single(_store.Queue.Over(10));
        Assert.Equal((QueueState.Interrupted, cut), (interrupted.State, interrupted.RunId));
        Notice told = Assert.Single(_told);
        Assert.Equal(NoticeKind.Waiting, told.Kind);
        Assert.Contains($"queued run {interrupted.Id}, {Device} by quick-look, was interrupted", told.Text, StringComparison.Ordinal);
        Assert.Contains("1 more wait", told.Text, StringComparison.Ordinal);

        _queue.Start("demo", Device, "Bo Lind");
        await _queue.StepAsync();
        Assert.Equal(2, _begun.Count);
    }

    [Fact]
    public async Task For_another_device_it_waits_until_a_person_says_that_it_is_mounted()
    {
        Add();
        _queue.Start("demo", "gauge-10bar", "Ada Vahl");
        await _queue.StepAsync();
        await _queue.StepAsync();
        Assert.Empty(_begun);
        Assert.Contains($"mount {Device}", Assert.Single(_told).Text, StringComparison.Ordinal);

        _queue.Start("demo", Device, "Ada Vahl");
        await _queue.StepAsync();
        Assert.Single(_begun);
    }

    [Fact]
    public async Task While_a_trip_waits_nothing_begins()
    {
        _trip = Cause.OverCeiling;
        Add();
        _queue.Start("demo", Device, "Ada Vahl");
        await _queue.StepAsync();
        Assert.Empty(_begun);

        _trip = Cause.None;
        await _queue.StepAsync();
        Assert.Single(_begun);
    }

    [Fact]
    public async Task A_pause_between_two_runs_holds_until_a_person_starts_again()
    {
        Add();
        _queue.Start("demo", Device, "Ada Vahl");
        _queue.Pause("demo", "somebody vented");
        await _queue.StepAsync();

        Assert.Empty(_begun);
        Assert.Equal("paused: somebody vented", _queue.Look("demo").Says);
    }

    [Fact]
    public async Task A_run_that_is_refused_is_told_and_halts_the_queue()
    {
        _refusal = "the standard is overdue";
        Add();
        Add();
        _queue.Start("demo", Device, "Ada Vahl");
        await _queue.StepAsync();
        await _queue.StepAsync();

        QueuedRun refused = Assert.Single(_store.Queue.Over(10));
        Assert.Equal((QueueState.Refused, _refusal), (refused.State, refused.Note));
        Assert.Equal(NoticeKind.Failed, Assert.Single(_told).Kind);
        Assert.Single(_store.Queue.Open());
    }

    [Fact]
    public async Task What_has_begun_cannot_be_taken_out_and_what_was_taken_out_does_not_begin()
    {
        QueuedRun first = Add();
        QueuedRun second = Add();
        _queue.Start("demo", Device, "Ada Vahl");
        await _queue.StepAsync();

        Assert.Throws<RunStoreException>(() => _store.Queue.Mark(first.Id, QueueState.Removed, DateTimeOffset.UnixEpoch, who: "Bo Lind"));
        _store.Queue.Mark(second.Id, QueueState.Removed, DateTimeOffset.UnixEpoch, who: "Bo Lind");
        Assert.Throws<RunStoreException>(() => _store.Queue.Mark(second.Id, QueueState.Running, DateTimeOffset.UnixEpoch));
        End(_begun[0], RunOutcome.Completed);
        await _queue.StepAsync();
        await _queue.StepAsync();
        Assert.Single(_begun);
    }

    private QueuedRun Add(OnFailure onFailure = OnFailure.Stop) =>
        _store.Queue.Add(new QueueWish("demo", Device, "quick-look", null, onFailure), "Ada Vahl", TimeProvider.System.GetUtcNow());

    private RunQueue New() => new(
        _boards,
        _store,
        (_, mounted) => new BenchReadiness(Heard: true, Vented: true, Identified: true, _trip, RunGoesOn: false, mounted),
        (_, queued) => _refusal is { } why ? throw new RefusedException(why) : Task.FromResult(Begin(queued)),
        _told.Add,
        TimeProvider.System,
        NullLogger<RunQueue>.Instance);

    private RunSheet Begin(QueuedRun queued)
    {
        var job = new SweepJob(
            Workshop.Benches["demo"], Workshop.Devices[queued.Wish.Device], Workshop.Procedures[queued.Wish.Procedure], Workshop.Origins,
            Guid.CreateVersion7().ToString(), Simulated: true);
        var sheet = new RunSheet(job, DateTimeOffset.UnixEpoch, new RunCounts());
        _begun.Add(sheet);
        return sheet;
    }

    private static void End(RunSheet sheet, RunOutcome outcome)
    {
        sheet.Happened(new RunEvent.Ended(outcome, "as this test says", true));
        sheet.LetGo();
    }
}
