using Barostep.Configuration;
using Barostep.Instruments;

namespace Barostep.Tests.Configuration;

public sealed class ShippedConfigurationTests
{
    [Fact]
    public void The_shipped_configuration_loads_without_an_error()
    {
        LoadedConfiguration loaded = ShippedConfiguration.Load();

        Assert.Empty(loaded.Errors.Select(error => error.ToString()));
        Assert.Equal(["demo", "gauge", "hand", "manifold", "pump"], loaded.Configuration.Benches.Keys.Order());
        Assert.Equal(["dial-gauge", "gauge-10bar", "gauge-compound", "switch-3bar", "transmitter-16bar", "transmitter-6bar"], loaded.Configuration.Devices.Keys.Order());
        Assert.Equal(
            ["cg-17-basic", "cg-17-comprehensive", "cg-17-standard", "compound-manifold", "dkd-r-6-1-a", "dkd-r-6-1-b", "dkd-r-6-1-c", "eleven-point", "eleven-point-rest", "en-837-1", "five-point", "hand-five-mark", "hand-five-point", "iec-61298-2", "quick-look", "switch-ramp"],
            loaded.Configuration.Procedures.Keys.Order(StringComparer.Ordinal));
        Assert.Equal(
            ["fixed-gauge", "fixed-indicator", "keep-alive-relay", "register-gauge", "scanning-multimeter", "streaming-gauge", "text-barometer", "text-controller", "text-indicator", "text-multimeter", "valve-block"],
            loaded.Configuration.Instruments.Keys.Order());
        Assert.Equal(["indicator-16bar", "indicator-7bar", "multimeter", "scanning-multimeter"], loaded.Configuration.Standards.Keys.Order());
        Assert.Equal(["substation-4"], loaded.Configuration.Jobs.Keys.Order());
        Assert.Equal("DH-P-", loaded.Configuration.Daemon.Laboratory!.CertificatePrefix);
    }
}
