using Barostep.Safety;

namespace Barostep.Tests.Faults;

/// <summary>
/// Every fault, tried once for all tests. The benches wait for gas most of the time, so several run beside each other;
/// nothing is started before a test asks for it.
/// </summary>
public sealed class FaultRuns : IAsyncLifetime, IDisposable
{
    /// <summary>More would make the machine late, and lateness is a fault of its own.</summary>
    private const int AtOnce = 6;

    private const int Seed = 20260302;

    private readonly SemaphoreSlim _room = new(AtOnce);
    private readonly Dictionary<FaultCase, Task<FaultRun>> _started = [];
    private readonly Dictionary<Func<Task>, Task> _scripts = [];

    public Task InitializeAsync() => Task.CompletedTask;

    /// <summary>Nothing that was started is left behind.</summary>
    public Task DisposeAsync() => AllDoneAsync();

    public void Dispose() => _room.Dispose();

    /// <summary>The run with one fault, judged by what must hold whatever the fault is.</summary>
    internal async Task<FaultRun> OfAsync(FaultCase wanted)
    {
        if (FaultCases.IsAlone(wanted))
        {
            await AllDoneAsync();
            _started[wanted] = wanted.RunAsync(Seed);
        }
        else
        {
            StartAll();
        }

        FaultRun run;
        try
        {
            run = await _started[wanted];
        }
        catch (TimeoutException) when (!FaultCases.IsAlone(wanted))
        {
            run = await AloneAsync(wanted);
        }

        run.Verify();
        return run;
    }

    /// <summary>One that goes its own way.</summary>
    internal async Task OfAsync(Func<Task> wanted)
    {
        StartAll();
        try
        {
            await _scripts[wanted];
        }
        catch (TimeoutException)
        {
            await AllDoneAsync();
            await wanted();
        }
    }

    /// <summary>The run with a fault in which the guard must see one of the causes given.</summary>
    internal async Task<FaultRun> OfAsync(FaultCase wanted, params Cause[] anyOf)
    {
        FaultRun run = await OfAsync(wanted);
        if (!Array.Exists(anyOf, run.Causes.Contains))
        {
            run = await AloneAsync(wanted);
            run.Verify();
        }

        Assert.True(Array.Exists(anyOf, run.Causes.Contains), $"none of {string.Join(", ", anyOf)}:\n{run.Telling}");
        return run;
    }

    /// <summary>The run with a fault that must lead to a trip, for one of the reasons given.</summary>
    internal async Task<FaultRun> TripsAsync(FaultCase wanted, params Cause[] anyOf)
    {
        FaultRun run = await OfAsync(wanted, anyOf);
        Assert.NotEmpty(run.Payloads(JournalKind.Trip));
        Assert.NotEqual(0, run.Sweep!.ExitCode);
        return run;
    }

    /// <summary>
    /// Once more, with nothing beside it: on a busy machine a late reading or keep-alive may have ended the run before the
    /// fault could show. A fault that is not answered as it must be is not answered alone either.
    /// </summary>
    private async Task<FaultRun> AloneAsync(FaultCase wanted)
    {
        await AllDoneAsync();
        return await (_started[wanted] = wanted.RunAsync(Seed));
    }

    private void StartAll()
    {
        if (_scripts.Count > 0)
            return;
        foreach (FaultCase one in FaultCases.All.Where(one => !FaultCases.IsAlone(one)))
            _started[one] = InTurnAsync(() => one.RunAsync(Seed));
        foreach (Func<Task> one in FaultCases.Scripts)
            _scripts[one] = InTurnAsync(async () => { await one(); return true; });
    }

    /// <summary>Whatever became of them is for the tests that ask for them.</summary>
    private Task AllDoneAsync() => Task.WhenAll(_started.Values.Concat(_scripts.Values)).ContinueWith(static _ => { }, TaskScheduler.Default);

    private async Task<T> InTurnAsync<T>(Func<Task<T>> run)
    {
        await _room.WaitAsync();
        try
        {
            return await run();
        }
        finally
        {
            _room.Release();
        }
    }
}

/// <summary>Faults on the real programs: nothing else runs beside them.</summary>
[CollectionDefinition(Name, DisableParallelization = true)]
public sealed class FaultedPrograms : ICollectionFixture<FaultRuns>
{
    public const string Name = "Faults";
}
