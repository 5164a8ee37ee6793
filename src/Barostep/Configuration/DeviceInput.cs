using Barostep.Instruments;

namespace Barostep.Configuration;

/// <summary>A place of a bench to which a device's output is wired: a channel of a multimeter, or a line of the device's own.</summary>
/// <param name="Name">The bench's table: <c>multimeter</c>, <c>device_line</c>, or NAME of <c>[input.NAME]</c>.</param>
/// <param name="Fitted">What reads it.</param>
public sealed record DeviceInput(string Name, FittedInstrument Fitted)
{
    /// <summary>Its table in the bench's file.</summary>
    public string Table => Name is "multimeter" or "device_line" ? Name : $"input.{Name}";

    /// <summary>Whether it can read what a device gives out.</summary>
    public bool CanRead(DeviceDefinition device, BenchShunt? shunt) => device.Dial is null && Fitted.Definition.Can(Needed(device, shunt)) && IsDevicesOwn == NeedsOwnLine(device);

    /// <summary>What has to be asked to learn what a device gives out.</summary>
    /// <param name="device">The device.</param>
    /// <param name="shunt">The resistor over which a current is read; null where the multimeter reads it itself.</param>
    public static Capability Needed(DeviceDefinition device, BenchShunt? shunt)
    {
        ArgumentNullException.ThrowIfNull(device);
        return device.Output switch
        {
            DeviceOutput.Current => shunt is null ? Capability.ReadCurrent : Capability.ReadVoltage,
            DeviceOutput.Voltage => Capability.ReadVoltage,
            DeviceOutput.Digital => Capability.ReadPressure,
            DeviceOutput.Dial => throw new InvalidOperationException("a dial is read by a person"),
            DeviceOutput.Contact => device.Contact!.Reading == ContactReading.Resistance ? Capability.ReadResistance : Capability.ReadVoltage,
            _ => throw new InvalidOperationException($"Output {device.Output} is not known here."),
        };
    }

    private bool IsDevicesOwn => Fitted.Definition.Role == InstrumentRole.Indicator;

    private static bool NeedsOwnLine(DeviceDefinition device) => device.Output == DeviceOutput.Digital;
}

/// <summary>A device on the manifold and the input that reads it.</summary>
public sealed record MountedDevice(DeviceDefinition Device, DeviceInput Input);
