using System.Diagnostics;
using System.Text;

namespace Barostep.Tests.Simulators;

/// <summary>The program as another process sees it, through its pseudo-terminals.</summary>
public sealed class ProgramTests : IDisposable
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(60);

    private readonly DirectoryInfo _directory = Directory.CreateTempSubdirectory("bench");

    public void Dispose() => _directory.Delete(recursive: true);

    [Fact]
    public async Task Instruments_answer_through_their_links_until_standard_input_closes()
    {
        string truth = Path.Combine(_directory.FullName, "truth.csv");
        using Process bench = await Ready("--bench", "demo", "--ports", _directory.FullName, "--truth", truth, "--until-stdin-closes");
        Assert.Equal("SIMULATED,CONTROLLER,SC-01042,1.0\n", await Ask("controller", "*IDN?\n", '\n'));
        Assert.StartsWith("<07IINDICSI-020771.0", await Ask("reference", ">07IEE\r", '\r'), StringComparison.Ordinal);
        Assert.Equal("SIMULATED,MULTIMETER,SM-03310,1.0\n", await Ask("multimeter", "*IDN?\n", '\n'));
        bench.StandardInput.Close();
        await bench.WaitForExitAsync().WaitAsync(Patience);
        Assert.Equal(0, bench.ExitCode);
        Assert.Equal([truth], Directory.GetFileSystemEntries(_directory.FullName));
        string[] rows = await File.ReadAllLinesAsync(truth);
        Assert.StartsWith("t_s,pressure_pa_abs,gas_temperature_k,", rows[0], StringComparison.Ordinal);
        Assert.Equal(["0.010", "0.020", "0.030"], rows[1..4].Select(row => row.Split(',')[0]));
        Assert.All(rows, row => Assert.Equal(12, row.Split(',').Length));
    }

    [Fact]
    public async Task A_pulled_cable_hangs_up_and_comes_back_under_its_name()
    {
        using Process bench = await Ready("--bench", "demo", "--ports", _directory.FullName, "--until-stdin-closes");
        string link = Path.Combine(_directory.FullName, "controller");
        string before = new FileInfo(link).LinkTarget!;
        await using FileStream held = Open("controller");
        Task<int> pending = held.ReadAsync(new byte[16]).AsTask();
        await bench.StandardInput.WriteLineAsync("fault controller disconnect");
        // A hang-up ends a read with nothing or an error, never with bytes.
        try
        {
            Assert.Equal(0, await pending.WaitAsync(Patience));
        }
        catch (IOException)
        {
            Assert.False(File.Exists(before) && new FileInfo(link).LinkTarget == before);
        }

        await bench.StandardInput.WriteLineAsync("fault controller reconnect");
        await bench.StandardInput.WriteLineAsync("nonsense");
        Assert.Contains("is not a fault line", await bench.StandardError.ReadLineAsync().WaitAsync(Patience), StringComparison.Ordinal);
        Assert.Equal("SIMULATED,CONTROLLER,SC-01042,1.0\n", await Ask("controller", "*IDN?\n", '\n'));
        bench.StandardInput.Close();
        await bench.WaitForExitAsync().WaitAsync(Patience);
    }

    [Fact]
    public async Task A_wrong_bench_file_ends_it_with_2_and_one_message()
    {
        string file = Path.Combine(_directory.FullName, "bad.toml");
        string shipped = await File.ReadAllTextAsync(Path.Combine(AppContext.BaseDirectory, "benches", "demo.toml"));
        await File.WriteAllTextAsync(file, shipped.Replace("litres = 0.15", "litres = 0", StringComparison.Ordinal));
        (int code, string error) = await Refused("--bench", file, "--ports", _directory.FullName);
        Assert.Equal(2, code);
        Assert.StartsWith($"{file}:13: 'litres' in [volume]", error, StringComparison.Ordinal);
        Assert.Single(error.TrimEnd().Split('\n'));
    }

    [Theory]
    [InlineData("--ports", "x")]
    [InlineData("--bench", "demo", "--ports", "x", "--baud", "7")]
    [InlineData("--bench", "demo", "--ports", "x", "--frobnicate")]
    [InlineData("--bench", "demo", "--ports", "/proc/nowhere")]
    [InlineData("--bench", "demo", "--ports", "/tmp", "--truth", "/proc/nowhere/truth.csv")]
    [InlineData("--bench", "demo", "--ports", "/tmp", "--faults", "/proc/nowhere")]
    [InlineData("--bench", "nowhere", "--ports", "/tmp")]
    public async Task Wrong_options_end_it_with_2(params string[] arguments)
    {
        (int code, string error) = await Refused(arguments);
        Assert.Equal(2, code);
        Assert.DoesNotContain("   at ", error, StringComparison.Ordinal);
        Assert.NotEmpty(error);
    }

    private static Process Start(string[] arguments)
    {
        ProcessStartInfo start = new(Environment.ProcessPath!.EndsWith("dotnet", StringComparison.Ordinal) ? Environment.ProcessPath : "dotnet")
        {
            RedirectStandardInput = true,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
        };
        start.ArgumentList.Add(Path.Combine(AppContext.BaseDirectory, "barostep-bench.dll"));
        foreach (string argument in arguments)
        {
            start.ArgumentList.Add(argument);
        }

        return Process.Start(start)!;
    }

    private static async Task<Process> Ready(params string[] arguments)
    {
        Process process = Start(arguments);
        Assert.Equal("ready", await process.StandardOutput.ReadLineAsync().WaitAsync(Patience));
        return process;
    }

    private static async Task<(int Code, string Error)> Refused(params string[] arguments)
    {
        using Process process = Start(arguments);
        string error = await process.StandardError.ReadToEndAsync().WaitAsync(Patience);
        await process.WaitForExitAsync().WaitAsync(Patience);
        return (process.ExitCode, error);
    }

    private FileStream Open(string port) =>
        new(Path.Combine(_directory.FullName, port), FileMode.Open, FileAccess.ReadWrite, FileShare.ReadWrite, bufferSize: 0);

    private async Task<string> Ask(string port, string request, char terminator)
    {
        await using FileStream line = Open(port);
        await line.WriteAsync(Encoding.ASCII.GetBytes(request));
        StringBuilder reply = new();
        byte[] buffer = new byte[256];
        while (reply.Length == 0 || reply[^1] != terminator)
        {
            int count = await line.ReadAsync(buffer).AsTask().WaitAsync(Patience);
            reply.Append(Encoding.ASCII.GetString(buffer, 0, count));
        }

        return reply.ToString();
    }
}
