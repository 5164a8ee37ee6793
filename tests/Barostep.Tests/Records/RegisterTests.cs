using Barostep.Configuration;
using Barostep.Records;

namespace Barostep.Tests.Records;

/// <summary>Standards, jobs, devices and their due dates beside the runs.</summary>
public sealed class RegisterTests : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("barostep-registers-");
    private readonly RunStore _store;

    public RegisterTests() => _store = RunStore.Open(Path.Combine(_folder.FullName, "records.sqlite"));

    public void Dispose()
    {
        _store.Dispose();
        _folder.Delete(recursive: true);
    }

    [Fact]
    public void A_run_keeps_the_standard_as_it_was_when_its_file_changes_later()
    {
        ReferenceStandard recalibrated = SampleRuns.Reference with { CertificateNumber = "K-2027-0201", CalibratedOn = new DateOnly(2027, 2, 1), DueOn = new DateOnly(2028, 2, 1) };
        Save("a", 0, standard: SampleRuns.Reference);
        Save("b", 400, standard: recalibrated);

        Assert.Equal("K-2026-0318", Assert.Single(_store.Get("a")!.Standards).Standard.CertificateNumber);
        Assert.Equal(["K-2027-0201", "K-2026-0318"], _store.Standards.List().Select(standard => standard.CertificateNumber));
        Assert.Equal(["a"], _store.Standards.RunsWith("K-2026-0318"));
    }

    [Fact]
    public void The_name_that_allowed_an_overdue_standard_stays_with_the_run()
    {
        var overdue = new StandardUse("reference", SampleRuns.Reference, new OverdueAllowance("A. Holm", "the spare is at the laboratory"));
        _store.Save(Run("a", 0) with { Standards = [overdue] });

        Assert.Equal(overdue.Allowance, Assert.Single(_store.Get("a")!.Standards).Allowance);
    }

    [Fact]
    public void Identities_told_after_the_start_are_those_of_the_run()
    {
        RunRecord run = Run("a", 0);
        _store.Begin(run with { Instruments = new Dictionary<string, string> { ["reference"] = string.Empty } });
        _store.End("a", RunEnding.Of(run));

        Assert.Equal(run.Instruments, _store.Get("a")!.Instruments);
    }

    [Fact]
    public void A_leak_test_and_the_surroundings_can_be_added_until_the_run_ends()
    {
        RunRecord run = Run("a", 0);
        var leak = new LeakTestRecord(1e6, 60_000_000, -3, 20);
        var air = new EnvironmentReading(5, 21.5, null, 100_900, "HUT-3");
        _store.Begin(run);
        _store.AddLeakTest("a", leak);
        _store.AddEnvironment("a", air);
        _store.End("a", RunEnding.Of(run));

        Assert.Equal(leak, _store.Get("a")!.LeakTest);
        Assert.Equal(air, Assert.Single(_store.Get("a")!.Environment));
        Assert.Contains("has ended", Assert.Throws<RunStoreException>(() => _store.AddEnvironment("a", air)).Message, StringComparison.Ordinal);
        Save("b", 1);
        Assert.Contains("has ended", Assert.Throws<RunStoreException>(() => _store.AddLeakTest("b", leak)).Message, StringComparison.Ordinal);
    }

    [Fact]
    public void A_job_goes_from_as_found_over_an_adjustment_to_as_left_and_in_no_other_order()
    {
        JobUse found = new(SampleRuns.Substation, JobStage.AsFound);
        JobUse left = new(SampleRuns.Substation, JobStage.AsLeft);
        var adjustment = new Adjustment(new DateTimeOffset(2026, 3, 29, 9, 0, 0, TimeSpan.Zero), "A. Holm", "zero from +0.21 % to 0.00 % of span");
        Assert.Null(_store.Jobs.Objection(found));
        Assert.Contains("nothing was adjusted", _store.Jobs.Objection(left), StringComparison.Ordinal);
        Assert.Contains("no completed run as found", Assert.Throws<RunStoreException>(() => _store.Jobs.Adjust("substation-4", adjustment)).Message, StringComparison.Ordinal);

        _store.Save(Run("broken", 0) with { Job = found, Outcome = RunOutcome.Stopped });
        _store.Save(Run("found", 1) with { Job = found });
        _store.Jobs.Adjust("substation-4", adjustment);
        Assert.Null(_store.Jobs.Objection(left));
        Assert.Contains("from then on its runs are as left", _store.Jobs.Objection(found), StringComparison.Ordinal);
        _store.Save(Run("left", 2) with { Job = left });

        JobRecord job = _store.Jobs.Get("substation-4")!;
        Assert.Equal("found", job.AsFound!.RunId);
        Assert.Equal("left", job.AsLeft!.RunId);
        Assert.Equal(adjustment, Assert.Single(job.Adjustments));
        Assert.Equal(["broken", "found", "left"], job.Runs.Select(run => run.RunId));
    }

    [Fact]
    public void A_job_that_allows_no_adjustment_gets_none()
    {
        JobDefinition strict = SampleRuns.Substation with { AdjustmentAllowed = false };
        _store.Save(Run("found", 0) with { Job = new JobUse(strict, JobStage.AsFound) });

        RunStoreException refused = Assert.Throws<RunStoreException>(() =>
            _store.Jobs.Adjust(strict.Name, new Adjustment(DateTimeOffset.UnixEpoch, "A. Holm", "zero")));

        Assert.Contains("does not allow an adjustment", refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void A_device_is_one_device_however_its_definition_changes()
    {
        Save("a", 0);
        _store.Save(Run("b", 5) with { Device = SampleRuns.Transmitter with { Name = "renamed", Tag = "PT-9" } });
        _store.Save(Run("c", 6) with { Device = SampleRuns.Transmitter with { SerialNumber = "DH-0999" } });

        DeviceSummary device = _store.Devices.List()[0];
        Assert.Equal(2, _store.Devices.List().Count);
        Assert.Equal((2, "renamed"), (device.Runs, device.Definition.Name));
        Assert.Equal(device.Identity, Assert.Single(_store.Devices.Named("PT-9")));
        Assert.Equal(device.Identity, Assert.Single(_store.Devices.Named("DH-0417")));
        Assert.Equal(2, _store.Devices.Named("return-line-transmitter").Count);
        Assert.Empty(_store.Devices.Named("nobody"));
    }

    [Fact]
    public void The_newest_due_date_holds_and_the_earlier_ones_stay()
    {
        Save("a", 0);
        DeviceIdentity device = DeviceIdentity.Of(SampleRuns.Transmitter);
        var first = new DeviceDue(new DateOnly(2028, 3, 29), DateTimeOffset.UnixEpoch.AddDays(20_000), "A. Holm", "two years as usual");
        var second = first with { On = new DateOnly(2027, 3, 29), Reason = "drifts" };
        _store.Devices.SetDue(device, first);
        _store.Devices.SetDue(device, second);

        Assert.Equal([second, first], _store.Devices.DueDates(device));
        Assert.Equal(second, Assert.Single(_store.Devices.List()).Due);
        Assert.Contains("calibrate it first", Assert.Throws<RunStoreException>(() =>
            _store.Devices.SetDue(device with { SerialNumber = "none" }, first)).Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("ab-1", "ab-1")]
    [InlineData("ab-12", "ab-12")]
    [InlineData("ab-12-", "ab-12-x")]
    [InlineData("c", "c_%")]
    public void A_run_is_found_by_what_no_other_begins_with(string beginning, string id)
    {
        foreach (string each in new[] { "ab-1", "ab-12", "ab-12-x", "c_%" })
            Save(each, 0);

        Assert.Equal(id, _store.Find(beginning));
    }

    [Fact]
    public void A_beginning_of_several_runs_or_of_none_is_refused_with_their_names()
    {
        Save("ab-12", 0);
        Save("ab-34", 1);

        Assert.Contains("ab-12, ab-34; write more", Assert.Throws<RunStoreException>(() => _store.Find("ab")).Message, StringComparison.Ordinal);
        Assert.Contains("no run whose id begins with '%'", Assert.Throws<RunStoreException>(() => _store.Find("%")).Message, StringComparison.Ordinal);
    }

    private void Save(string id, int day, ReferenceStandard? standard = null) =>
        _store.Save(Run(id, day) with { Standards = standard is null ? [] : [new StandardUse("reference", standard, null)] });

    private static RunRecord Run(string id, int day)
    {
        RunRecord run = SampleRuns.Run(SampleRuns.Transmitter, SampleRuns.UpAndDown with { PointsOfSpan = [0, 1], Samples = 2 }, (_, _, _) => 0.001);
        return run with { Id = id, StartedUtc = run.StartedUtc.AddDays(day) };
    }
}
