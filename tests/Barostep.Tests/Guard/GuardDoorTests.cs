using System.Net.Sockets;
using System.Runtime.Versioning;
using Barostep.Guard;
using Barostep.Lines.GuardLine;
using Barostep.Safety;
using Barostep.Tests.Configuration;

namespace Barostep.Tests.Guard;

[SupportedOSPlatform("linux")]
public sealed class GuardDoorTests : IDisposable
{
    private readonly GuardRig _rig = new();
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("barostep-door-");
    private readonly string _path;
    private readonly GuardDoor _door;

    public GuardDoorTests()
    {
        _path = Path.Combine(_folder.FullName, "demo.socket");
        var limits = new RunLimits(FixedWorkshop.Folder, _rig.Definition, "no such hash", simulated: false);
        _door = new GuardDoor(_path, "demo", limits, _rig.Desk, () => { }, _ => { });
    }

    public void Dispose()
    {
        _door.Dispose();
        _rig.Dispose();
        _folder.Delete(recursive: true);
    }

    [Fact]
    public void Only_the_owner_and_the_group_reach_the_socket() => Assert.Equal(
        UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.GroupRead | UnixFileMode.GroupWrite,
        File.GetUnixFileMode(_path));

    [Fact]
    public void A_second_sequencer_is_refused_until_the_first_has_gone()
    {
        GuardClient first = Connect(ClientRole.Sequencer);
        RefusedException refused = Assert.Throws<RefusedException>(() => Connect(ClientRole.Sequencer));
        Assert.Contains("only one may ask for pressure", refused.Message, StringComparison.Ordinal);
        using GuardClient watcher = Connect(ClientRole.Watcher);

        first.Dispose();

        Assert.True(SpinWait.SpinUntil(_rig.Desk.TryBecomeSequencer, TimeSpan.FromSeconds(10)));
    }

    [Fact]
    public void A_client_of_another_bench_is_refused()
    {
        RefusedException refused = Assert.Throws<RefusedException>(
            () => GuardClient.TryConnect(_path, new HelloRecord(ClientRole.Watcher, "gauge")));
        Assert.Contains("this is the guard of bench demo", refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Garbage_drops_the_client_and_has_no_effect()
    {
        var random = new Random(1);
        byte[] record = new byte[RecordSizes.Longest];
        ReadOnlyMemory<byte> hello = record.AsMemory(0, new HelloRecord(ClientRole.Sequencer, "demo").Write(record));
        for (int i = 0; i < 100; i++)
        {
            byte[] garbage = new byte[random.Next(1, 1500)];
            random.NextBytes(garbage);
            using Socket client = Open();
            if (i % 2 == 0)
                client.Send(hello.Span);
            client.Send(garbage);
            Assert.True(IsDropped(client));
        }

        Assert.Equal(PersonRequest.None, _rig.Desk.TakeVent());
        Assert.False(_rig.Desk.TryTake(out _));
        Assert.Equal(default, _rig.Desk.TakeIntent(out _));
    }

    [Fact]
    public void A_watcher_that_asks_for_pressure_is_dropped()
    {
        using Socket client = Open();
        Span<byte> record = stackalloc byte[RecordSizes.Longest];
        client.Send(record[..new HelloRecord(ClientRole.Watcher, "demo").Write(record)]);
        client.Send(record[..new IntentRecord(new Intent(1, 1, IntentKind.Pressurise, Pressure.StandardAtmosphere, 1, 1)).Write(record)]);

        Assert.True(IsDropped(client));
        Assert.Equal(default, _rig.Desk.TakeIntent(out _));
    }

    [Fact]
    public void A_person_without_a_name_or_a_reason_is_dropped()
    {
        using GuardClient watcher = Connect(ClientRole.Watcher);

        Assert.Null(watcher.Ask(number => new PersonRecord(number, PersonRequestKind.Acknowledge, 1, Pressure.Vacuum, "Ines Quandt", "").Write));
        Assert.False(watcher.IsConnected);
    }

    [Fact]
    public void A_vent_is_taken_from_anybody_even_when_every_place_is_taken()
    {
        GuardClient[] crowd = [.. Enumerable.Range(0, 9).Select(_ => Connect(ClientRole.Watcher))];
        Assert.Throws<RefusedException>(() => Connect(ClientRole.Watcher));

        using Socket client = Open();
        Span<byte> record = stackalloc byte[RecordSizes.Longest];
        client.Send(record[..new VentRecord(AtOnce: false).Write(record)]);

        Assert.True(SpinWait.SpinUntil(() => _rig.Desk.TakeVent() == PersonRequest.Stop, TimeSpan.FromSeconds(10)));
        Array.ForEach(crowd, one => one.Dispose());
    }

    [Fact]
    public void Everybody_is_told_and_nobody_is_waited_for()
    {
        using GuardClient watcher = Connect(ClientRole.Watcher);
        // This one never reads: its socket fills, and that is its own affair.
        using Socket sleeper = Open();
        byte[] record = new byte[RecordSizes.Longest];
        sleeper.Send(record.AsSpan(0, new HelloRecord(ClientRole.Watcher, "demo").Write(record)));

        for (int tick = 1; tick <= 2_000; tick++)
        {
            var snapshot = new SnapshotRecord(new Barostep.Control.BenchSnapshot { Tick = tick }, new GuardReport(0, 0, 0, 0, false, string.Empty, string.Empty));
            _door.TellAll(record.AsSpan(0, snapshot.Write(record)));
        }

        Assert.NotNull(watcher.WaitFor(told => told.Bench.Tick > 0, TimeSpan.FromSeconds(10)));
    }

    [Fact]
    public void Who_connects_and_says_nothing_makes_room_for_the_next()
    {
        Socket[] silent = [.. Enumerable.Range(0, 100).Select(_ => Open())];

        using GuardClient watcher = Connect(ClientRole.Watcher);

        Assert.True(watcher.IsConnected);
        Array.ForEach(silent, one => one.Dispose());
    }

    [Fact]
    public async Task A_run_on_simulated_instruments_is_refused_by_a_guard_of_real_ones()
    {
        using GuardClient sequencer = Connect(ClientRole.Sequencer);
        Task<ReplyRecord?> asked = Task.Run(() => sequencer.Ask(number =>
            new BeginRunRecord(number, "run", "transmitter-16bar", "five-point", "workshop", new string('0', 64), Simulated: true).Write));
        while (!asked.IsCompleted)
        {
            _rig.Cycle();
            await Task.WhenAny(asked, Task.Delay(1));
        }

        ReplyRecord? reply = await asked;
        Assert.False(reply!.Value.Accepted);
        Assert.Contains("works on real instruments", reply.Value.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void A_vent_needs_no_place_and_no_name()
    {
        GuardClient[] crowd = [.. Enumerable.Range(0, 9).Select(_ => Connect(ClientRole.Watcher))];

        Assert.True(GuardClient.TryVent(_path, atOnce: true));

        Assert.True(SpinWait.SpinUntil(() => _rig.Desk.TakeVent() == PersonRequest.Dump, TimeSpan.FromSeconds(10)));
        Array.ForEach(crowd, one => one.Dispose());
    }

    [Fact]
    public async Task A_run_is_refused_where_the_bench_s_files_are_not_those_of_the_start()
    {
        using GuardClient sequencer = Connect(ClientRole.Sequencer);
        Task<ReplyRecord?> asked = Task.Run(() => sequencer.Ask(number =>
            new BeginRunRecord(number, "run", "transmitter-16bar", "five-point", "workshop", new string('0', 64), false).Write));
        while (!asked.IsCompleted)
        {
            _rig.Cycle();
            // Cycles cost no time here: a free run of them would fill the rig's journal before the socket is asked.
            await Task.WhenAny(asked, Task.Delay(1));
        }

        ReplyRecord reply = (await asked)!.Value;
        Assert.False(reply.Accepted);
        Assert.Contains("were changed after its guard started", reply.Message, StringComparison.Ordinal);
    }

    private static bool IsDropped(Socket client)
    {
        byte[] answer = new byte[RecordSizes.Longest];
        client.ReceiveTimeout = 10_000;
        int length;
        do
            length = client.Receive(answer);
        while (length > 0);
        return length == 0;
    }

    private GuardClient Connect(ClientRole role) => GuardClient.TryConnect(_path, new HelloRecord(role, "demo"))!;

    private Socket Open()
    {
        Socket socket = GuardSocket.Create();
        socket.Connect(new UnixDomainSocketEndPoint(_path));
        return socket;
    }
}
