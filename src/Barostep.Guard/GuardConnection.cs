using System.Net.Sockets;
using Barostep.Lines.GuardLine;
using Barostep.Safety;

namespace Barostep.Guard;

/// <summary>One client of the guard, read on a thread of its own. What it says that is not understood ends it.</summary>
internal sealed class GuardConnection
{
    /// <summary>Snapshots in succession that found no room: some seconds' worth.</summary>
    private const int MostSkipped = 200;

    private const int FirstWordMs = 1000;

    private readonly Socket _socket;
    private readonly GuardDoor _door;
    private readonly byte[] _incoming = new byte[RecordSizes.Longest + 1];
    private bool _isSequencer;
    private volatile bool _isWelcome;
    private int _skipped;

    /// <param name="socket">The client's end.</param>
    /// <param name="door">The door it came in by.</param>
    public GuardConnection(Socket socket, GuardDoor door)
    {
        _socket = socket;
        _door = door;
        // Nobody keeps a thread and a descriptor by saying nothing.
        socket.ReceiveTimeout = FirstWordMs;
    }

    /// <summary>Serves the client until it leaves or is dropped.</summary>
    public void Serve()
    {
        try
        {
            int length = _socket.Receive(_incoming);
            _door.Heard(this);
            if (VentRecord.TryRead(_incoming.AsSpan(0, length), out VentRecord vent))
            {
                _door.Desk.Vent(vent.AtOnce);
                _door.CallCycle();
                return;
            }

            string problem = Welcome(_incoming.AsSpan(0, length));
            Reply(new ReplyRecord(0, problem.Length == 0, 0, problem, string.Empty));
            _socket.ReceiveTimeout = 0;
            _isWelcome = problem.Length == 0;
            while (_isWelcome && (length = _socket.Receive(_incoming)) > 0)
            {
                if (!Take(_incoming.AsSpan(0, length)))
                {
                    _door.Tell("a client said what is no record, and was dropped");
                    break;
                }
            }
        }
        catch (Exception e) when (e is SocketException or ObjectDisposedException)
        {
            // It has gone; what it was comes to an end below.
        }
        finally
        {
            _isWelcome = false;
            if (_isSequencer)
                _door.Desk.LeaveAsSequencer();
            // First the descriptor: whoever waits for this one's room may need it.
            _socket.Dispose();
            _door.Remove(this);
        }
    }

    /// <summary>Hands a snapshot over, if there is room for it.</summary>
    public void Tell(ReadOnlySpan<byte> record)
    {
        if (!_isWelcome)
            return;
        _skipped = GuardSocket.TrySend(_socket, record) ? 0 : _skipped + 1;
        if (_skipped > MostSkipped)
            Close();
    }

    public void Close()
    {
        try
        {
            _socket.Shutdown(SocketShutdown.Both);
        }
        catch (Exception e) when (e is SocketException or ObjectDisposedException)
        {
            // It went by itself.
        }
    }

    private string Welcome(ReadOnlySpan<byte> record)
    {
        if (!HelloRecord.TryRead(record, out HelloRecord hello))
            return "the first record is no hello of this version";
        if (hello.Bench != _door.Bench)
            return $"this is the guard of bench {_door.Bench}";
        if (!_door.TryAdd(this))
            return "it has as many clients as it can serve";
        if (hello.Role == ClientRole.Sequencer && !(_isSequencer = _door.Desk.TryBecomeSequencer()))
            return "another program runs this bench; only one may ask for pressure";
        return string.Empty;
    }

    private bool Take(ReadOnlySpan<byte> record)
    {
        switch (RecordReader.KindOf(record))
        {
            case RecordKind.Vent when VentRecord.TryRead(record, out VentRecord vent):
                _door.Desk.Vent(vent.AtOnce);
                _door.CallCycle();
                return true;
            case RecordKind.Intent when _isSequencer && IntentRecord.TryRead(record, out IntentRecord wanted):
                _door.Desk.Leave(wanted.Intent);
                return true;
            case RecordKind.Person when PersonRecord.TryRead(record, out PersonRecord person):
                return TakePerson(person);
            case RecordKind.Alarm when AlarmRecord.TryRead(record, out AlarmRecord alarm):
                return alarm.Who.Length > 0 && alarm.Why.Length > 0 && _door.Desk.TryLeave(new AlarmErrand(alarm, Reply));
            case RecordKind.BeginRun when _isSequencer && BeginRunRecord.TryRead(record, out BeginRunRecord begin):
                return _door.Desk.TryLeave(new BeginErrand(_door.Limits.Prepare(begin), Reply));
            case RecordKind.EndRun when _isSequencer && EndRunRecord.TryRead(record, out EndRunRecord end):
                return _door.Desk.TryLeave(new EndErrand(end, Reply));
            default:
                return false;
        }
    }

    private bool TakePerson(in PersonRecord person)
    {
        bool named = person.Who.Length > 0 && person.Why.Length > 0
            && person.Kind is PersonRequestKind.Acknowledge or PersonRequestKind.LowerCeiling or PersonRequestKind.RaiseCeiling;
        return named && _door.Desk.TryLeave(new PersonErrand(person, Reply));
    }

    private void Reply(ReplyRecord reply)
    {
        Span<byte> record = stackalloc byte[RecordSizes.Longest];
        GuardSocket.TrySend(_socket, record[..reply.Write(record)]);
    }
}
