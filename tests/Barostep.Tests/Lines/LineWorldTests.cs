using Barostep.Configuration;
using Barostep.Lines;
using Barostep.Tests.Instruments;
using Barostep.Tests.Processes;

namespace Barostep.Tests.Lines;

/// <summary>What is simulated never passes for real, nor the other way about.</summary>
public sealed class LineWorldTests : IDisposable
{
    private readonly Workshop _workshop = new();

    public void Dispose() => _workshop.Dispose();

    [Theory]
    [InlineData("/dev/ttyUSB0")]
    [InlineData("tcp://192.0.2.7:4001")]
    [Trait("SR", "49")]
    public void A_simulated_bench_refuses_the_address_of_an_instrument(string port)
    {
        var refused = Assert.Throws<RefusedException>(() => BenchLines.AddressOf(Fitted(port), _workshop.Folder));
        Assert.Contains("the bench is a simulated one", refused.Message, StringComparison.Ordinal);
        Assert.Equal(LineWorld.Real, BenchLines.AddressOf(Fitted(port), folder: null).World);
    }

    [Fact]
    [Trait("SR", "49")]
    public async Task A_link_in_the_folder_of_a_simulated_bench_that_leads_to_a_real_device_is_not_opened()
    {
        File.CreateSymbolicLink(_workshop.In("controller"), "/dev/null");
        LineAddress address = BenchLines.AddressOf(Fitted("controller"), _workshop.Folder);

        var refused = await Assert.ThrowsAsync<IOException>(() => address.OpenAsync(Fitted("controller"), () => { }, CancellationToken.None));
        Assert.Contains("is no simulated instrument", refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    [Trait("SR", "49")]
    public async Task A_real_bench_does_not_open_a_simulated_instrument_under_whatever_name()
    {
        File.CreateSymbolicLink(_workshop.In("adapter"), "/dev/pts/ptmx");
        LineAddress address = BenchLines.AddressOf(Fitted(_workshop.In("adapter")), folder: null);

        var refused = await Assert.ThrowsAsync<IOException>(() => address.OpenAsync(Fitted("adapter"), () => { }, CancellationToken.None));
        Assert.Contains("is a simulated instrument", refused.Message, StringComparison.Ordinal);
    }

    private static FittedInstrument Fitted(string port) => TestInstruments.Fitted(TestInstruments.Controller(), port);
}
