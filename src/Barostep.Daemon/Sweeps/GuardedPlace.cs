using Barostep.Configuration;
using Barostep.Control;
using Barostep.Daemon.Guards;
using Barostep.Instruments;
using Barostep.Lines;
using Barostep.Lines.GuardLine;
using Barostep.Lines.Journals;
using Barostep.Records;
using Barostep.Safety;

namespace Barostep.Daemon.Sweeps;

/// <summary>A bench whose guard half is a process of its own; this one owns the multimeter and the device, and can only ask.</summary>
internal sealed class GuardedPlace : ISweepPlace
{
    /// <summary>Each snapshot calls for a cycle; without one, this is how often the guard's silence is looked at.</summary>
    private const long SilenceCheckMicros = 250_000;

    private readonly GuardOrder _order;
    private readonly string? _journalCopy;
    private readonly TextWriter _people;
    private readonly CycleLoop _loop;
    private readonly GuardChild? _child;
    private readonly GuardClient _client;
    private readonly RemoteGuard _guard;

    /// <summary>Finds the bench's guard, or starts one.</summary>
    /// <param name="job">What is done.</param>
    /// <param name="order">How a guard is started, where there is none.</param>
    /// <param name="journalCopy">Where the guard's journal is copied at the end; null for nowhere.</param>
    /// <param name="people">Where people are told what becomes of the guard.</param>
    /// <exception cref="RefusedException">The guard does not start, or has another sequencer.</exception>
    public GuardedPlace(SweepJob job, GuardOrder order, string? journalCopy, TextWriter people)
    {
        _order = order;
        _journalCopy = journalCopy;
        _people = people;
        _loop = new CycleLoop(SilenceCheckMicros, TimeProvider.System);
        string path = GuardSocket.PathOf(order.State, order.Bench);
        var hello = new HelloRecord(ClientRole.Sequencer, order.Bench);
        GuardClient? found = GuardClient.TryConnect(path, hello, _loop.Call);
        if (found is null)
        {
            _child = GuardChild.Start(order);
            found = GuardClient.TryConnect(path, hello, _loop.Call);
        }

        _client = found ?? throw new RefusedException($"the guard of bench {order.Bench} does not listen on {path}");
        _guard = new RemoteGuard(_client, job.Bench, FilesHash.Of(order.Config, job.Bench, job.Device, job.Procedure), job.Simulated);
        Bench = new Bench(job.Bench, BenchSafety.LimitsFor(job.Bench, job.Device, job.Origins), _guard);
        foreach (InstrumentDriver line in Bench.Lines)
            _loop.Add(line, BenchLines.AddressOf(line.Fitted, order.Ports), callsForCycle: false);
    }

    public Bench Bench { get; }

    public long NowMicros => TimeProvider.System.NowMicros();

    public JournalHead? JournalEnd { get; private set; }

    public RunRecord Pass(SweepRun run, OperatorSignals signals)
    {
        var wishes = new OperatorWishes(signals);
        using CancellationTokenRegistration first = signals.Stop.Register(_loop.Call);
        using CancellationTokenRegistration second = signals.Dump.Register(_loop.Call);
        _loop.Start();
        try
        {
            _loop.Run((now, _) => Cycle(run, now, wishes, signals));
        }
        catch (GuardLostException lost)
        {
            GiveUp(run, lost.Message);
        }

        RunRecord record = run.Finish(NowMicros);
        long journalFile = _guard.JournalFile;
        _client.Dispose();
        _child?.End();
        if (_journalCopy is not null && journalFile > 0)
            CopyJournal(journalFile);
        return record;
    }

    public void Dispose()
    {
        _client.Dispose();
        _child?.Dispose();
        _loop.Dispose();
    }

    private bool Cycle(SweepRun run, long nowMicros, OperatorWishes wishes, OperatorSignals signals)
    {
        bool silent = Bench.Snapshot.NowMicros > 0 && nowMicros - Bench.Snapshot.NowMicros > SilenceCheckMicros;
        if (!_guard.HasNews && !silent)
            return true;
        run.Cycle(nowMicros, wishes.Take(), signals.Answers(Bench.Session?.Prompt));
        _guard.Tell(Bench.Session!.Intent);
        return !run.Ended;
    }

    private void GiveUp(SweepRun run, string why)
    {
        _people.WriteLine(Bench.Definition.Person is null
            ? $"{why}: the bench is being vented without it"
            : $"{why}: STOP PUMPING AND OPEN THE RELEASE VALVE NOW, then look at a gauge");
        bool vented = _order.Vent();
        run.GiveUp(vented ? $"{why}; the bench was vented without it" : $"{why}; NOT confirmed that the bench was vented", vented);
    }

    private void CopyJournal(long number)
    {
        string folder = Path.Combine(_order.State, "journals", _order.Bench);
        File.Copy(JournalFolder.PathOf(folder, number), _journalCopy!, overwrite: true);
        using FileStream copy = File.OpenRead(_journalCopy!);
        JournalEnd = JournalRecovery.Scan(copy).Head;
    }
}
