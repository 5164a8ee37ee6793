namespace Barostep.Instruments;

/// <summary>CRC-16 of Modbus RTU: reflected polynomial A001, all ones at the start, no final change, low byte sent first.</summary>
internal static class ModbusCheck
{
    private const ushort Polynomial = 0xA001;

    public static ushort Of(ReadOnlySpan<byte> bytes)
    {
        ushort check = ushort.MaxValue;
        foreach (byte value in bytes)
        {
            check ^= value;
            for (int bit = 0; bit < 8; bit++)
                check = (ushort)((check & 1) == 0 ? check >> 1 : (check >> 1) ^ Polynomial);
        }

        return check;
    }
}
