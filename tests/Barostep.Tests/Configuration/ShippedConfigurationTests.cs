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
        Assert.Equal(["demo", "gauge"], loaded.Configuration.Benches.Keys.Order());
        Assert.Equal(["gauge-10bar", "transmitter-16bar"], loaded.Configuration.Devices.Keys.Order());
        Assert.Equal(["eleven-point", "five-point"], loaded.Configuration.Procedures.Keys.Order());
        Assert.Equal(
            ["fixed-gauge", "fixed-indicator", "keep-alive-relay", "register-gauge", "streaming-gauge", "text-controller", "text-indicator", "text-multimeter"],
            loaded.Configuration.Instruments.Keys.Order());
        Assert.Equal(["indicator-16bar", "multimeter"], loaded.Configuration.Standards.Keys.Order());
        Assert.Equal(["substation-4"], loaded.Configuration.Jobs.Keys.Order());
        Assert.Equal("DH-P-", loaded.Configuration.Daemon.Laboratory!.CertificatePrefix);
    }
}
