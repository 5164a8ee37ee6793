namespace Barostep.Configuration;

/// <summary>Hangs the devices of one run on a bench: to each its input.</summary>
public static class Mounting
{
    private const char Separator = ',';

    private const char AtInput = '@';

    /// <summary>The names in a text such as <c>transmitter-6bar,gauge-6bar@gauge-line</c>: devices, each with its input where one is named.</summary>
    public static IReadOnlyList<(string Device, string? Input)> Named(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        return [.. text.Split(Separator, StringSplitOptions.TrimEntries).Select(one => one.Split(AtInput, 2)).Select(parts => (parts[0], parts.Length > 1 ? parts[1] : null))];
    }

    /// <summary>The same the other way round: one text for a command line, a journal, or a message to the guard.</summary>
    public static string Text(IEnumerable<string> devices) => string.Join(Separator, devices);

    /// <summary>
    /// The bench with the devices on it, the leading one first. A device takes the input that is named with it; without one,
    /// in the order of the devices, the first input of the bench that is still free and reads its kind of output.
    /// </summary>
    /// <param name="bench">The bench.</param>
    /// <param name="devices">Each with the name of its input, null for the first that suits.</param>
    /// <param name="problems">What stands against it, for people; empty where nothing does.</param>
    public static BenchDefinition Mount(BenchDefinition bench, IReadOnlyList<(DeviceDefinition Device, string? Input)> devices, out IReadOnlyList<string> problems)
    {
        ArgumentNullException.ThrowIfNull(bench);
        ArgumentNullException.ThrowIfNull(devices);
        // Switches have ramps of their own, so one of the others leads.
        devices = [.. devices.OrderBy(one => one.Device.Output == DeviceOutput.Contact)];
        var found = new List<string>();
        var free = bench.Inputs.ToList();
        foreach ((DeviceDefinition device, string? input) in devices.Where(one => one.Input is not null))
        {
            if (!bench.Inputs.Any(one => one.Name == input))
                found.Add($"bench {bench.Name} has no input '{input}' for device {device.Name}; it has: {string.Join(", ", bench.Inputs.Select(one => one.Name))}");
            else if (free.RemoveAll(one => one.Name == input) == 0)
                found.Add($"the input '{input}' of bench {bench.Name} is named for two devices; each device has its own");
        }

        foreach (IGrouping<string, string> twice in devices.Select(one => one.Device.Name).GroupBy(name => name).Where(names => names.Count() > 1))
            found.Add($"device {twice.Key} is named twice; a device hangs on the manifold once");
        var mounted = new List<MountedDevice>();
        foreach ((DeviceDefinition device, string? input) in devices)
        {
            DeviceInput? at = input is null
                ? free.FirstOrDefault(one => one.CanRead(device, bench.Arrangement.Shunt))
                : bench.Inputs.FirstOrDefault(one => one.Name == input);
            if (at is null)
            {
                if (input is null && devices.Count > 1)
                    found.Add($"bench {bench.Name} has no free input that reads the {device.Output.ToString().ToLowerInvariant()} of device {device.Name}; add [input.NAME] to {SourceMap.FileOf(bench)}, or calibrate it by itself");
                continue;
            }

            free.Remove(at);
            mounted.Add(new MountedDevice(device, at));
        }

        problems = found;
        return bench with { Mounted = mounted };
    }
}
