using Barostep.Daemon.Simulation;
using Barostep.Simulators.Instruments;

namespace Barostep.Tests.Simulation;

/// <summary>The disk of the simulated world does to a journal what a real one may do, and no more.</summary>
public class SimulatedDiskTests
{
    private long _now;

    [Fact]
    public void A_flush_takes_its_time_and_what_it_covers_survives_a_loss_of_power()
    {
        for (ulong seed = 0; seed < 50; seed++)
        {
            _now = 0;
            var disk = new SimulatedDisk(() => _now, new Pcg32(seed, 1));
            DiskFile file = disk.Create();
            file.Append("first"u8);
            long flush = file.RequestFlush();
            Assert.True(file.FlushesDone < flush);
            _now = 10_000;
            Assert.Equal(flush, file.FlushesDone);
            file.Append("second"u8);
            disk.LosePower();

            Assert.InRange(file.Contents.Length, 5, 11);
            Assert.True("firstsecond"u8.StartsWith(file.Contents.Span));
        }
    }

    [Fact]
    public void The_tail_that_is_lost_is_now_all_now_none_and_now_torn()
    {
        var lengths = new HashSet<int>();
        for (ulong seed = 0; seed < 200; seed++)
        {
            var disk = new SimulatedDisk(static () => 0, new Pcg32(seed, 1));
            DiskFile file = disk.Create();
            file.Append("abcd"u8);
            disk.LosePower();
            lengths.Add(file.Contents.Length);
        }

        Assert.Equal([0, 1, 2, 3, 4], lengths.Order());
    }

    [Fact]
    public void A_full_disk_cuts_an_append_short_and_the_fault_is_final()
    {
        var disk = new SimulatedDisk(static () => 0, new Pcg32(1, 1));
        DiskFile file = disk.Create();
        disk.IsFull = true;
        file.Append("abcdef"u8);
        disk.IsFull = false;
        file.Append("ghi"u8);

        Assert.True(file.HasFailed);
        Assert.Equal(3, file.Contents.Length);
    }

    [Fact]
    public void A_flush_that_fails_never_counts_as_done()
    {
        var disk = new SimulatedDisk(() => _now, new Pcg32(1, 1)) { FlushFails = true };
        DiskFile file = disk.Create();
        file.Append("abc"u8);
        long flush = file.RequestFlush();
        _now = 1_000_000;

        Assert.True(file.FlushesDone < flush);
        Assert.True(file.HasFailed);
        Assert.Equal(0, file.Durable.Length);
    }
}
