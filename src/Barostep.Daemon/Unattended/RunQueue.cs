using Barostep.Daemon.Api;
using Barostep.Daemon.Live;
using Barostep.Evaluation;
using Barostep.Records;
using Barostep.Unattended;
using Microsoft.Extensions.Logging;

namespace Barostep.Daemon.Unattended;

/// <summary>How the queue of one bench stands.</summary>
/// <param name="Mounted">The device that a person said is mounted; null while the queue is paused.</param>
/// <param name="StartedBy">Who said so.</param>
/// <param name="Says">What it waits for, why it is paused, or what it does; empty where there is nothing to say.</param>
internal sealed record QueueSight(string Bench, string? Mounted, string? StartedBy, string Says);

/// <summary>
/// Does the queued runs of every bench one after the other. It begins only what a person started since the daemon did:
/// after a loss of power nothing makes pressure by itself. Any thread.
/// </summary>
/// <param name="boards">Every bench by name.</param>
/// <param name="store">Where the queue is kept.</param>
/// <param name="ready">What is known of a bench, and of the device that a person said is mounted there.</param>
/// <param name="begin">Begins a run on a bench, as a person's request would.</param>
/// <param name="tell">Tells people.</param>
/// <param name="time">The clocks.</param>
/// <param name="log">The program's log.</param>
internal sealed class RunQueue(
    IReadOnlyDictionary<string, BenchBoard> boards,
    RunStore store,
    Func<BenchBoard, string, BenchReadiness> ready,
    Func<BenchBoard, QueuedRun, Task<RunSheet>> begin,
    Action<Notice> tell,
    TimeProvider time,
    ILogger<RunQueue> log)
{
    private readonly Lock _gate = new();
    private readonly Dictionary<string, Lane> _lanes = boards.Keys.ToDictionary(name => name, static _ => new Lane());

    /// <summary>Marks what was cut off when the program ended last, and tells of it. To be called once, before the first step.</summary>
    public void Recover()
    {
        foreach (IGrouping<string, QueuedRun> bench in store.Queue.Open().GroupBy(run => run.Wish.Bench))
        {
            string says = string.Empty;
            foreach (QueuedRun cut in bench.Where(run => run.State == QueueState.Running))
            {
                store.Queue.Mark(cut.Id, QueueState.Interrupted, time.GetUtcNow(), note: "the program ended while it was run");
                says = $"queued run {cut.Id}, {cut.Wish.Device} by {cut.Wish.Procedure}, was interrupted: the program ended while it was run. ";
            }

            int waiting = bench.Count(run => run.State == QueueState.Waiting);
            says += waiting > 0 ? $"{waiting} more wait; somebody must start the queue." : string.Empty;
            if (_lanes.TryGetValue(bench.Key, out Lane? lane))
                lane.Says = says;
            if (says.Length > 0)
                tell(new Notice(NoticeKind.Waiting, time.GetUtcNow(), $"{bench.Key}: the queue is paused after a restart", says, bench.Key));
        }
    }

    /// <summary>A person starts the queue of a bench, having seen what is mounted there.</summary>
    public void Start(string bench, string mounted, string who)
    {
        lock (_gate)
            _lanes[bench].Start(mounted, who);
        log.LogInformation("Bench {Bench}: {Who} started the queue, {Device} is mounted", bench, who, mounted);
    }

    /// <summary>Nothing more begins until a person starts the queue again. A run that goes on is left alone.</summary>
    public void Pause(string bench, string why)
    {
        lock (_gate)
        {
            if (!_lanes[bench].Pause(why))
                return;
        }

        log.LogInformation("Bench {Bench}: the queue is paused: {Why}", bench, why);
    }

    public QueueSight Look(string bench)
    {
        lock (_gate)
            return _lanes[bench].Look(bench);
    }

    /// <summary>Looks after every bench once.</summary>
    public async Task StepAsync()
    {
        foreach ((string name, Lane lane) in _lanes)
        {
            if (lane.Current is { } current)
                Follow(name, lane, current.Queued, current.Sheet);
            else if (Look(name).Mounted is { } mounted)
                await NextAsync(boards[name], lane, mounted);
        }
    }

    private async Task NextAsync(BenchBoard board, Lane lane, string mounted)
    {
        QueuedRun[] waiting = [.. store.Queue.Open().Where(run => run.Wish.Bench == board.Bench.Name && run.State == QueueState.Waiting)];
        QueueStep step = QueueRule.Next(waiting, ready(board, mounted), time.GetUtcNow());
        switch (step)
        {
            case QueueStep.Rest:
                Say(lane, "nothing waits");
                break;
            case QueueStep.Wait wait:
                if (Say(lane, wait.Why) && wait.ForPerson)
                    tell(new Notice(NoticeKind.Waiting, time.GetUtcNow(), $"{board.Bench.Name}: the queue waits for a person", wait.Why, board.Bench.Name));
                break;
            case QueueStep.Begin next:
                await BeginAsync(board, lane, next.Run);
                break;
            default:
                throw new InvalidOperationException($"unknown step {step}");
        }
    }

    private async Task BeginAsync(BenchBoard board, Lane lane, QueuedRun queued)
    {
        try
        {
            // On the disk first: what is cut off from here on must be known as that after a restart.
            store.Queue.Mark(queued.Id, QueueState.Running, time.GetUtcNow());
        }
        catch (RunStoreException taken)
        {
            log.LogInformation("Queued run {Id} does not begin: {Reason}", queued.Id, taken.Message);
            return;
        }

        // A vent that was asked for meanwhile has paused the queue, and comes first.
        try
        {
            RunSheet sheet = await begin(board, queued);
            string id = sheet.Look().Job.RunId;
            store.Queue.Mark(queued.Id, QueueState.Running, time.GetUtcNow(), id);
            lock (_gate)
                lane.Current = (queued with { RunId = id }, sheet);
            Say(lane, $"queued run {queued.Id} goes on");
            if (Look(board.Bench.Name).Mounted is null)
                sheet.Stop();
        }
        catch (Exception refused) when (refused is RefusedException or ProblemException)
        {
            store.Queue.Mark(queued.Id, QueueState.Refused, time.GetUtcNow(), note: refused.Message);
            if (queued.Wish.OnFailure == OnFailure.Stop)
                Pause(board.Bench.Name, $"queued run {queued.Id} was refused: {refused.Message}");
            tell(new Notice(
                NoticeKind.Failed, time.GetUtcNow(), $"{board.Bench.Name}: queued run {queued.Id} was refused", refused.Message, board.Bench.Name));
        }
    }

    private void Follow(string bench, Lane lane, QueuedRun queued, RunSheet sheet)
    {
        if (!sheet.IsOver)
            return;
        RunOutcome outcome = sheet.Look().Ended?.Outcome ?? RunOutcome.Incomplete;
        string? halts = QueueRule.Halts(queued.Wish.OnFailure, outcome, sheet.Result?.Conformity ?? Conformity.NotDecided);
        store.Queue.Mark(queued.Id, QueueState.Ended, time.GetUtcNow(), note: halts ?? string.Empty);
        lock (_gate)
            lane.Current = null;
        if (halts is null)
            return;
        Pause(bench, $"queued run {queued.Id}: {halts}");
        int left = store.Queue.Open().Count(run => run.Wish.Bench == bench);
        if (left > 0)
            tell(new Notice(NoticeKind.Waiting, time.GetUtcNow(), $"{bench}: the queue is paused, {left} more wait", Look(bench).Says, bench));
    }

    /// <returns>Whether it said something else before.</returns>
    private bool Say(Lane lane, string says)
    {
        lock (_gate)
        {
            bool changed = lane.Says != says;
            lane.Says = says;
            return changed;
        }
    }

    /// <summary>What is not kept on purpose: a daemon that starts anew has nobody's word that a bench is ready.</summary>
    private sealed class Lane
    {
        public string Says { get; set; } = string.Empty;

        public (QueuedRun Queued, RunSheet Sheet)? Current { get; set; }

        private string? Mounted { get; set; }

        private string? StartedBy { get; set; }

        public void Start(string mounted, string who) => (Mounted, StartedBy, Says) = (mounted, who, string.Empty);

        public bool Pause(string why)
        {
            bool was = Mounted is not null;
            if (was)
                (Mounted, StartedBy, Says) = (null, null, $"paused: {why}");
            return was;
        }

        public QueueSight Look(string bench) => new(bench, Mounted, StartedBy, Says);
    }
}
