using System.Text;
using Barostep.Simulators;
using Barostep.Simulators.Wire;

namespace Barostep.Tests.Simulators;

/// <summary>A plain host on a simulated port: writes a request, runs the bench until the reply's terminator.</summary>
internal sealed class Host(SimulatedBench bench, string port, char terminator = '\n')
{
    public SimulatedPort Port { get; } = bench.Port(port);

    /// <summary>Reply without its terminator, or what has come within the time when none came.</summary>
    public string Ask(string request, long timeoutMicros = 1_000_000)
    {
        Send(request);
        return Listen(timeoutMicros);
    }

    public void Send(string request) => Port.HostWrite(Encoding.Latin1.GetBytes(request + terminator));

    public string Listen(long timeoutMicros = 1_000_000)
    {
        StringBuilder reply = new();
        Span<byte> buffer = stackalloc byte[1];
        long until = bench.NowMicros + timeoutMicros;
        while (true)
        {
            while (Port.HostRead(buffer) == 1)
            {
                if (buffer[0] == terminator)
                {
                    return reply.ToString();
                }

                reply.Append((char)buffer[0]);
            }

            if (bench.NextEventMicros >= until)
            {
                bench.AdvanceTo(until);
                if (Port.HostRead([]) == 0 && bench.NextEventMicros > until)
                {
                    return reply.ToString();
                }
            }
            else
            {
                bench.AdvanceTo(Math.Max(bench.NextEventMicros, bench.NowMicros + 1));
            }
        }
    }
}
