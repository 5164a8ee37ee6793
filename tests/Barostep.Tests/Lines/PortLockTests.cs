using System.Diagnostics;
using System.Globalization;
using Barostep.Lines;

namespace Barostep.Tests.Lines;

public sealed class PortLockTests : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("barostep-locks-").FullName;

    public void Dispose() => Directory.Delete(_folder, recursive: true);

    [Fact]
    [Trait("SR", "13")]
    public void A_held_port_is_refused_with_the_holder_named_and_free_again_afterwards()
    {
        using (PortLock.Take("/dev/ttyS9", _folder))
        {
            PortHeldException refused = Assert.Throws<PortHeldException>(() => PortLock.Take("/dev/ttyS9", _folder));
            Assert.Contains($"/dev/ttyS9 is held by process {Environment.ProcessId} (", refused.Message, StringComparison.Ordinal);
            using PortLock other = PortLock.Take("/dev/ttyS8", _folder);
        }

        using PortLock again = PortLock.Take("/dev/ttyS9", _folder);
    }

    // Filesystem Hierarchy Standard 3.0, 5.9.1, from memory: LCK..ttyS0, process number in ten characters and a newline.
    [Fact]
    public void The_file_has_the_standard_name_and_content()
    {
        using PortLock held = PortLock.Take("/dev/ttyS9", _folder);
        Assert.Equal(Path.Combine(_folder, "LCK..ttyS9"), held.Path);
        Assert.Equal(string.Create(CultureInfo.InvariantCulture, $"{Environment.ProcessId,10}\n"), File.ReadAllText(held.Path));
    }

    [Fact]
    public void The_file_of_another_living_program_is_respected_and_that_of_a_dead_one_is_taken_over()
    {
        string path = Path.Combine(_folder, "LCK..ttyS9");
        using Process sleeper = Process.Start("sleep", "60");
        File.WriteAllText(path, $"{sleeper.Id,10}\n");
        try
        {
            PortHeldException refused = Assert.Throws<PortHeldException>(() => PortLock.Take("/dev/ttyS9", _folder));
            Assert.Contains($"process {sleeper.Id} (sleep)", refused.Message, StringComparison.Ordinal);
        }
        finally
        {
            sleeper.Kill();
            sleeper.WaitForExit();
        }

        using PortLock taken = PortLock.Take("/dev/ttyS9", _folder);
    }

    [Fact]
    public void Two_names_of_one_port_have_one_lock()
    {
        string link = Path.Combine(_folder, "controller");
        File.CreateSymbolicLink(link, "/dev/ttyS9");
        using PortLock held = PortLock.Take("/dev/ttyS9", _folder);
        Assert.Throws<PortHeldException>(() => PortLock.Take(link, _folder));
    }
}
