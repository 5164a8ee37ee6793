using System.Net.Sockets;
using Barostep.Lines.GuardLine;
using Barostep.Safety;

namespace Barostep.Tests.Faults;

/// <summary>What other programs can do to a guard through its socket, and what they cannot.</summary>
internal static class CrowdScripts
{
    public static async Task A_vent_is_honoured_in_the_middle_of_garbage_floods_and_idle_crowds()
    {
        using FaultBench bench = await UnderPressureAsync();
        var random = new Random(7);
        List<Socket> crowd = [.. Enumerable.Range(0, 200).Select(_ => Knock(bench.Socket))];
        foreach (Socket one in crowd.Take(100))
            Babble(one, random);
        Socket flood = Knock(bench.Socket);
        Task flooding = Task.Run(() => Flood(flood));

        Finished vent = await VentAsync(bench);

        // It may find no place to look on until the vent is seen, and says so.
        Assert.True(vent.ExitCode is 0 or 4, vent.Error);
        await bench.UntilVentedAsync();
        await flooding;
        crowd.ForEach(one => one.Dispose());
        await EndAsync(bench);
    }

    public static async Task Who_connects_and_says_nothing_keeps_no_place_from_others()
    {
        using FaultBench bench = await FaultBench.StartAsync();
        await bench.StartGuardAsync();
        List<Socket> crowd = [.. Enumerable.Range(0, 20).Select(_ => Knock(bench.Socket))];

        await bench.UntilAsync(() => Welcomes(bench.Socket), "a client that says who it is is let in");

        crowd.ForEach(one => one.Dispose());
        await EndAsync(bench);
    }

    public static async Task A_guard_that_ran_out_of_descriptors_goes_on_guarding_and_hears_a_vent_when_it_has_some_again()
    {
        using FaultBench bench = await UnderPressureAsync("sh", "-c", "ulimit -n 160; exec \"$@\"", "sh");
        using GuardClient watcher = GuardClient.TryConnect(bench.Socket, new HelloRecord(ClientRole.Watcher, "demo"))!;
        long before = watcher.WaitFor(static _ => true, TimeSpan.FromSeconds(10))!.Value.Bench.Tick;
        List<Socket> crowd = [.. Enumerable.Range(0, 250).Select(_ => Knock(bench.Socket))];
        Assert.NotNull(watcher.WaitFor(told => told.Bench.Tick > before + 20, TimeSpan.FromSeconds(30)));
        crowd.ForEach(one => one.Dispose());

        Finished vent = await VentAsync(bench);

        Assert.True(vent.ExitCode == 0, vent.Error);
        await bench.UntilVentedAsync();
        await EndAsync(bench);
    }

    public static async Task Of_two_clients_only_one_gets_pressure_and_both_can_vent_and_lower_the_ceiling()
    {
        using FaultBench bench = await UnderPressureAsync();
        using ChildProgram second = bench.StartDaemon(
            "sweep", "--bench", "demo", "--device", FaultBench.Device, "--procedure", "climb", "--config", bench.Workshop.Config,
            "--state", bench.State, "--ports", bench.Bench.Ports);
        Finished refused = await second.EndAsync();
        Assert.Equal(2, refused.ExitCode);
        Assert.Contains("another program runs this bench", refused.Error, StringComparison.Ordinal);

        Finished lowered = await CommandAsync(bench, "ceiling", "--set", "5 bar gauge", "--who", "Ines Quandt", "--why", "a second client");
        Assert.True(lowered.ExitCode == 0, lowered.Error);
        Finished raised = await CommandAsync(bench, "ceiling", "--set", "5.9 bar gauge", "--who", "Ines Quandt", "--why", "a second client");
        Assert.Equal(2, raised.ExitCode);
        Assert.Equal(0, (await VentAsync(bench)).ExitCode);
        await bench.UntilVentedAsync();
        await EndAsync(bench);
        Assert.All(RunningBench.Truth(bench.Bench.TruthPath), moment => Assert.True(moment.BarGauge < 5));
    }

    public static async Task Random_interleavings_of_two_clients_wishes_leave_one_writer_and_every_vent_honoured()
    {
        using FaultBench bench = await UnderPressureAsync();
        var random = new Random(16);
        GuardClient[] clients = [.. Enumerable.Range(0, 2).Select(_ => GuardClient.TryConnect(bench.Socket, new HelloRecord(ClientRole.Watcher, "demo"))!)];
        Pressure lowest = clients[0].WaitFor(static _ => true, TimeSpan.FromSeconds(10))!.Value.Bench.EffectiveCeiling;
        for (int i = 0; i < 200; i++)
        {
            GuardClient one = clients[random.Next(2)];
            Pressure wanted = Pressure.FromMilliPascals(random.NextInt64(600_000_000, 720_000_000));
            PersonRequestKind kind = (PersonRequestKind)random.Next((int)PersonRequestKind.Acknowledge, (int)PersonRequestKind.RaiseCeiling + 1);
            ReplyRecord? reply = one.Ask(number => new PersonRecord(number, kind, (uint)random.Next(3), wanted, "Ines Quandt", "interleaved").Write);
            Assert.NotNull(reply);
            if (reply.Value.Accepted && kind == PersonRequestKind.LowerCeiling)
                lowest = Pressure.Min(lowest, wanted);
            Assert.False(reply.Value.Accepted && kind == PersonRequestKind.RaiseCeiling, "a ceiling was raised under pressure");
        }

        clients[1].Send(new VentRecord(AtOnce: false).Write);
        await bench.UntilVentedAsync();
        SnapshotRecord seen = clients[0].WaitFor(static told => told.Bench.Depressurised, TimeSpan.FromSeconds(30))!.Value;
        Assert.Equal(lowest, seen.Bench.EffectiveCeiling);
        Array.ForEach(clients, one => one.Dispose());
        await EndAsync(bench);
    }

    private static async Task<FaultBench> UnderPressureAsync(params string[] wrapper) =>
        await new FaultCase("a crowd", _ => Task.CompletedTask) { Begin = FaultCase.Holding, Wrapper = _ => wrapper }.ReachAsync(1);

    private static async Task EndAsync(FaultBench bench)
    {
        Finished? sweep = await bench.SweepEndAsync();
        Assert.NotEqual(0, sweep?.ExitCode);
        Assert.False(bench.Guard!.HasExited, bench.AllTelling());
        bench.Guard.Signal(ChildProgram.Terminate);
        Assert.Equal(0, (await bench.Guard.EndAsync()).ExitCode);
        (List<JournalEntry> journal, JournalFault? fault) = FaultCase.ReadJournal(bench.Journals, tornTailIsFair: false);
        Assert.Null(fault);
        Assert.True(JournalReplay.Run(journal).IsComplete);
        Assert.True(RunningBench.Truth(bench.Bench.TruthPath).Max(moment => moment.PressurePascals) <= bench.AllowedPascals);
    }

    private static Task<Finished> VentAsync(FaultBench bench) => CommandAsync(bench, "vent");

    private static Task<Finished> CommandAsync(FaultBench bench, string command, params string[] more) => ChildProgram.RunAsync(
        bench.Workshop.Folder, [command, "--bench", "demo", "--config", bench.Workshop.Config, "--state", bench.State, .. more]);

    private static Socket Knock(string path)
    {
        Socket socket = GuardSocket.Create();
        // A guard without descriptors lets its queue fill: who finds no room there goes away, and does not wait.
        socket.Blocking = false;
        try
        {
            socket.Connect(new UnixDomainSocketEndPoint(path));
        }
        catch (SocketException)
        {
            // No room.
        }

        return socket;
    }

    private static void Babble(Socket socket, Random random)
    {
        byte[] garbage = new byte[random.Next(1, 1500)];
        random.NextBytes(garbage);
        GuardSocket.TrySend(socket, garbage);
    }

    /// <summary>A watcher that says far more than anybody needs.</summary>
    private static void Flood(Socket socket)
    {
        byte[] record = new byte[RecordSizes.Longest];
        GuardSocket.TrySend(socket, record.AsSpan(0, new HelloRecord(ClientRole.Watcher, "demo").Write(record)));
        var person = new PersonRecord(1, PersonRequestKind.LowerCeiling, 0, Pressure.Vacuum, "nobody", "flood");
        for (int i = 0; i < 20_000; i++)
            GuardSocket.TrySend(socket, record.AsSpan(0, person.Write(record)));
        socket.Dispose();
    }

    private static bool Welcomes(string path)
    {
        try
        {
            using GuardClient? client = GuardClient.TryConnect(path, new HelloRecord(ClientRole.Watcher, "demo"));
            return client is not null;
        }
        catch (RefusedException)
        {
            return false;
        }
    }
}
