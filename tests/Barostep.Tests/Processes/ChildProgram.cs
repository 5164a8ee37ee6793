using System.Diagnostics;
using System.Runtime.InteropServices;
using System.Text;

namespace Barostep.Tests.Processes;

/// <summary>What a program left behind when it ended.</summary>
internal sealed record Finished(int ExitCode, string Out, string Error);

/// <summary>One of the real programs in a process of its own, everything that it writes kept.</summary>
internal sealed class ChildProgram : IDisposable
{
    public const int Interrupt = 2;
    public const int KillAtOnce = 9;
    public const int Terminate = 15;
    public const int GoOn = 18;
    public const int Pause = 19;

    /// <summary>Longer than any run here takes on a busy machine: reached only by a program that hangs.</summary>
    public static readonly TimeSpan Patience = TimeSpan.FromMinutes(3);

    private static readonly TimeSpan Look = TimeSpan.FromMilliseconds(50);

    private readonly Process _process;
    private readonly StringBuilder _output = new();
    private readonly StringBuilder _error = new();

    private ChildProgram(Process process)
    {
        _process = process;
        process.OutputDataReceived += (_, line) => Keep(_output, line.Data);
        process.ErrorDataReceived += (_, line) => Keep(_error, line.Data);
        process.BeginOutputReadLine();
        process.BeginErrorReadLine();
    }

    public string Out => Text(_output);

    public string Error => Text(_error);

    public StreamWriter Input => _process.StandardInput;

    public int Id => _process.Id;

    public bool HasExited => _process.HasExited;

    /// <summary>Starts a program with the working folder given.</summary>
    public static ChildProgram Start(string program, string folder, params string[] arguments) =>
        StartUnder([], program, folder, arguments);

    /// <summary>Starts a program under another that becomes it: the process stays the same.</summary>
    public static ChildProgram StartUnder(IEnumerable<string> wrapper, string program, string folder, params string[] arguments)
    {
        // A shell that puts the tests into the background makes them, and what they start, deaf to SIGINT.
        var start = new ProcessStartInfo("env")
        {
            WorkingDirectory = folder,
            RedirectStandardInput = true,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
        };
        string host = Environment.GetEnvironmentVariable("DOTNET_HOST_PATH") ?? "dotnet";
        foreach (string argument in wrapper.Prepend("--default-signal=INT").Concat([host, program]).Concat(arguments))
            start.ArgumentList.Add(argument);
        return new ChildProgram(Process.Start(start)!);
    }

    /// <summary>Starts the daemon's program and waits for its end.</summary>
    public static async Task<Finished> RunAsync(string folder, params string[] arguments)
    {
        using ChildProgram child = Start(Programs.Daemon, folder, arguments);
        return await child.EndAsync();
    }

    public async Task<Finished> EndAsync()
    {
        using var patience = new CancellationTokenSource(Patience);
        try
        {
            await _process.WaitForExitAsync(patience.Token);
        }
        catch (OperationCanceledException)
        {
            throw new TimeoutException($"the program did not end; it wrote:\n{Out}\n{Error}");
        }

        return new Finished(_process.ExitCode, Out, Error);
    }

    /// <summary>Waits until something holds, as long as the program runs.</summary>
    public async Task UntilAsync(Func<bool> holds)
    {
        long began = Stopwatch.GetTimestamp();
        while (!holds())
        {
            if (_process.HasExited || Stopwatch.GetElapsedTime(began) > Patience)
                throw new TimeoutException($"what was waited for did not come; the program wrote:\n{Out}\n{Error}");
            await Task.Delay(Look);
        }
    }

    public void Signal(int signal) => Assert.Equal(0, kill(_process.Id, signal));

    public void Kill() => _process.Kill();

    public void Dispose()
    {
        if (!_process.HasExited)
        {
            _process.Kill();
            _process.WaitForExit();
        }

        _process.Dispose();
    }

    private static void Keep(StringBuilder text, string? line)
    {
        if (line is null)
            return;
        lock (text)
            text.Append(line).Append('\n');
    }

    private static string Text(StringBuilder text)
    {
        lock (text)
            return text.ToString();
    }

    [DllImport("libc", SetLastError = true)]
    private static extern int kill(int process, int signal);
}
