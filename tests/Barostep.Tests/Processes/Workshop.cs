using Barostep.Configuration;
using Barostep.Tests.Configuration;

namespace Barostep.Tests.Processes;

/// <summary>A folder for one test: a copy of the shipped configuration, with a procedure that is soon done.</summary>
internal sealed class Workshop : IDisposable
{
    /// <summary>Few points, low, and no longer at each than it takes to see the gas at rest.</summary>
    public const string Quick = """
        title = "Three low points"
        points_of_span = ["0 %", "5 %", "10 %"]
        descending = true
        cycles = 1
        preloads = 0
        preload_hold = "1 s"
        read_zero = true
        rate = "3 % of span/s"
        samples = 5
        sample_interval = "100 ms"

        [settle]
        band = "0.1 % of span"
        window = "1 s"
        slope = "0.02 % of span/s"
        min_dwell = "2 s"
        timeout = "60 s"
        on_timeout = "flag"

        [overshoot]
        limit = "0.5 % of span"
        action = "flag"

        """;

    public Workshop()
    {
        foreach (string file in Directory.GetFiles(ShippedConfiguration.Folder, "*.toml", SearchOption.AllDirectories))
        {
            string copy = Path.Combine(Config, Path.GetRelativePath(ShippedConfiguration.Folder, file));
            Directory.CreateDirectory(Path.GetDirectoryName(copy)!);
            File.Copy(file, copy);
        }

        File.WriteAllText(Path.Combine(Config, "procedures", "quick.toml"), Quick);
        // Whether a busy machine makes a reading late is not what these tests ask.
        Change("benches/demo.toml", "lateness = \"500 ms\"", "lateness = \"1 s\"");
        Change("barostep.toml", "benches = [\"demo\", \"gauge\"]", "benches = [\"demo\"]");
    }

    public string Folder { get; } = Directory.CreateTempSubdirectory("barostep-end-to-end-").FullName;

    public string Config => In("config");

    public string In(string name) => Path.Combine(Folder, name);

    /// <summary>Changes a text that occurs once in a file of the configuration.</summary>
    public void Change(string file, string from, string to)
    {
        string path = Path.Combine(Config, file);
        string text = File.ReadAllText(path);
        Assert.Equal(2, text.Split(from).Length);
        File.WriteAllText(path, text.Replace(from, to, StringComparison.Ordinal));
    }

    public WorkshopConfiguration Load()
    {
        LoadedConfiguration loaded = ConfigurationDirectory.Load(Config);
        Assert.Empty(loaded.Errors);
        return loaded.Configuration;
    }

    /// <summary>Writes a bench file for the simulator: a shipped one with some lines changed.</summary>
    public string BenchFile(string shipped, params (string From, string To)[] changes)
    {
        string text = File.ReadAllText(Path.Combine(Programs.BenchFiles, shipped + ".toml"));
        foreach ((string from, string to) in changes)
        {
            Assert.Equal(2, text.Split(from).Length);
            text = text.Replace(from, to, StringComparison.Ordinal);
        }

        string path = In($"simulated-{shipped}.toml");
        File.WriteAllText(path, text);
        return path;
    }

    public void Dispose() => Directory.Delete(Folder, recursive: true);
}
