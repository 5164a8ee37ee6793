using Barostep.Configuration;
using Barostep.Control;
using Barostep.Lines.GuardLine;
using Barostep.Procedures;
using Barostep.Safety;

namespace Barostep.Guard;

/// <summary>A run that is asked for, with what the guard itself found out of it.</summary>
/// <param name="Order">What was asked.</param>
/// <param name="Limits">What limits the bench with the device on it; null where the run is refused.</param>
/// <param name="Refusal">Why it is refused; empty where it is not.</param>
internal sealed record PreparedRun(BeginRunRecord Order, SafetyLimits? Limits, string Refusal)
{
    public static PreparedRun Refused(in BeginRunRecord order, string why) => new(order, null, why);
}

/// <summary>Finds the limits of a run by reading the files anew: no message brings a number that is believed.</summary>
/// <param name="folder">The configuration folder.</param>
/// <param name="bench">The bench as it stood at the guard's start.</param>
/// <param name="benchHash">Hash of its files then.</param>
/// <param name="simulated">Whether the guard's bench is a simulated one: what is simulated must never pass for real.</param>
internal sealed class RunLimits(string folder, BenchDefinition bench, string benchHash, bool simulated)
{
    public PreparedRun Prepare(in BeginRunRecord order)
    {
        try
        {
            return Read(order);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or ArgumentException)
        {
            return PreparedRun.Refused(order, $"the configuration cannot be read: {e.Message}");
        }
    }

    private static string Words(bool simulated) => simulated ? "simulated" : "real";

    private PreparedRun Read(in BeginRunRecord order)
    {
        if (order.Simulated != simulated)
            return PreparedRun.Refused(order, $"the guard works on {Words(simulated)} instruments and the run is one on {Words(order.Simulated)} ones; give both the same --ports, or none");
        WorkshopConfiguration files = ConfigurationDirectory.Load(folder).Configuration;
        if (!files.Benches.TryGetValue(bench.Name, out BenchDefinition? now) || FilesHash.Of(folder, now) != benchHash)
            return PreparedRun.Refused(order, $"the files of bench {bench.Name} were changed after its guard started; start the guard anew");
        IReadOnlyList<(string Device, string? Input)> named = Mounting.Named(order.Device);
        foreach ((string missing, _) in named.Where(one => !files.Devices.ContainsKey(one.Device)))
            return PreparedRun.Refused(order, $"{folder} has no sound device '{missing}'");
        BenchDefinition mounted = Mounting.Mount(now, [.. named.Select(one => (files.Devices[one.Device], one.Input))], out IReadOnlyList<string> problems);
        if (problems.Count > 0)
            return PreparedRun.Refused(order, string.Join("; ", problems));
        DeviceDefinition device = mounted.Mounted.Count > 0 ? mounted.Mounted[0].Device : files.Devices[named[0].Device];
        if (!files.Procedures.TryGetValue(order.Procedure, out Procedure? procedure))
            return PreparedRun.Refused(order, $"{folder} has no sound procedure '{order.Procedure}'");
        if (FilesHash.Of(folder, mounted, device, procedure) != order.FilesHash)
            return PreparedRun.Refused(order, "the guard and the program that asks have read different files; give both the same --config");
        if (RunCheck.Check(mounted, device, procedure, files.Origins) is [ConfigurationError first, ..])
            return PreparedRun.Refused(order, first.ToString());
        BenchPermit permit = BenchPermit.For(mounted, device, files.Origins, DateOnly.FromDateTime(TimeProvider.System.GetUtcNow().UtcDateTime));
        if (!permit.IsGranted)
            return PreparedRun.Refused(order, string.Join("; ", permit.Refusals(now)));
        return new PreparedRun(order, BenchSafety.LimitsFor(bench with { Mounted = mounted.Mounted }, device, files.Origins), string.Empty);
    }
}
