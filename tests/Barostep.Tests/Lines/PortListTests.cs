using Barostep.Lines;
using Barostep.Tests.Instruments;

namespace Barostep.Tests.Lines;

public sealed class PortListTests : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("barostep-ports-").FullName;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Fact]
    public void A_port_is_listed_by_its_stable_name_with_who_holds_it()
    {
        string names = Path.Combine(_folder, "by-id");
        Directory.CreateDirectory(names);
        string name = Path.Combine(names, "usb-adapter-A7-port0");
        using PseudoTerminal terminal = new(name, TestInstruments.Answer);

        ListedPort free = Assert.Single(PortList.Of(names, _folder));
        Assert.StartsWith("/dev/pts/", free.Device, StringComparison.Ordinal);
        Assert.Equal((name, null, true), (free.Name, free.HeldBy, free.Permission.IsGranted));

        using PortLock held = PortLock.Take(name);
        Assert.Contains($"process {Environment.ProcessId} (", Assert.Single(PortList.Of(names, _folder)).HeldBy, StringComparison.Ordinal);
    }

    [Fact]
    public void An_adapter_without_a_stable_name_is_listed_by_its_device()
    {
        File.WriteAllText(Path.Combine(_folder, "ttyUSB3"), string.Empty);
        File.WriteAllText(Path.Combine(_folder, "ttyS0"), string.Empty);

        Assert.Equal([Path.Combine(_folder, "ttyUSB3")], PortList.Of(Path.Combine(_folder, "none"), _folder).Select(port => port.Name));
    }

    [Fact]
    public void Who_may_not_use_a_port_is_told_which_group_may()
    {
        Assert.Equal(
            "anna may not use it; it belongs to the group dialout: run 'sudo usermod -aG dialout anna', then log in again",
            PortAccess.AdviceFor("/dev/ttyUSB0", "anna", "dialout", groupMay: true));
        Assert.Contains("config/udev/60-barostep.rules", PortAccess.AdviceFor("/dev/ttyUSB0", "anna", "root", groupMay: false), StringComparison.Ordinal);
    }

    [Fact]
    public void A_port_that_is_not_there_is_told_as_missing_and_not_as_denied()
    {
        string missing = Path.Combine(_folder, "usb-none");

        Assert.Equal(
            $"{missing} cannot be opened: there is no such port; plug the adapter in, or see 'barostep ports' for those that there are",
            PortTrouble.Explain(missing, new UnauthorizedAccessException("Access to the port is denied.")));
    }
}
