using Barostep.Configuration;
using Barostep.Guard;
using Barostep.Lines.GuardLine;
using Barostep.Tests.Configuration;

namespace Barostep.Tests.Guard;

/// <summary>A guard that is asked for a run of several devices is told their names, and finds what limits them in its own files.</summary>
public sealed class RunLimitsTests : IDisposable
{
    private const string Devices = "gauge-compound,transmitter-6bar,switch-3bar@contact";

    private readonly ConfigurationFixture _files = new(ShippedConfiguration.Folder);

    public void Dispose() => _files.Dispose();

    [Fact]
    [Trait("SR", "01")]
    public void Every_device_on_the_manifold_limits_the_run()
    {
        PreparedRun prepared = Prepare(Devices, HashOf(Devices));

        Assert.Equal(string.Empty, prepared.Refusal);
        string[] sources = [.. prepared.Limits!.Contributions.Select(limit => limit.Source)];
        Assert.All(["gauge-compound", "transmitter-6bar", "switch-3bar"], device =>
        {
            Assert.Contains($"rating of device {device}", sources);
            Assert.Contains($"floor of device {device}", sources);
        });
    }

    [Fact]
    public void A_device_that_the_guard_does_not_know_is_refused_by_its_name()
    {
        string hash = HashOf(Devices);
        _files.Delete("devices/switch-3bar.toml");

        Assert.EndsWith("has no sound device 'switch-3bar'", Prepare(Devices, hash).Refusal, StringComparison.Ordinal);
    }

    [Fact]
    public void A_file_that_one_of_them_changed_meanwhile_is_noticed()
    {
        string hash = HashOf(Devices);
        _files.Change("devices/switch-3bar.toml", "rating = \"10 bar gauge\"", "rating = \"11 bar gauge\"");

        Assert.Contains("have read different files", Prepare(Devices, hash).Refusal, StringComparison.Ordinal);
    }

    [Fact]
    public void A_device_too_many_for_the_inputs_is_refused() =>
        Assert.Contains("no free input that reads the digital of device gauge-10bar", Prepare("gauge-compound,gauge-10bar", string.Empty).Refusal, StringComparison.Ordinal);

    private PreparedRun Prepare(string devices, string hash)
    {
        BenchDefinition bench = _files.Load().Configuration.Benches["manifold"];
        var order = new BeginRunRecord(1, "run", devices, "compound-manifold", "Ines Quandt", hash, Simulated: true);
        return new RunLimits(_files.Folder, bench, FilesHash.Of(_files.Folder, bench), simulated: true).Prepare(order);
    }

    /// <summary>As the program that asks computes it.</summary>
    private string HashOf(string devices)
    {
        WorkshopConfiguration workshop = _files.Load().Configuration;
        BenchDefinition mounted = Mounting.Mount(
            workshop.Benches["manifold"], [.. Mounting.Named(devices).Select(one => (workshop.Devices[one.Device], one.Input))], out _);
        return FilesHash.Of(_files.Folder, mounted, mounted.Mounted[0].Device, workshop.Procedures["compound-manifold"]);
    }
}
