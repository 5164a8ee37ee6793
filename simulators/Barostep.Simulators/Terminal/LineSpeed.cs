namespace Barostep.Simulators.Terminal;

/// <summary>Speed codes of termios: the B constants of Linux, by bits per second.</summary>
internal static class LineSpeed
{
    // <asm-generic/termbits.h>; the low ones count up from 50 baud, the high ones carry CBAUDEX (octal 010000).
    private static readonly (int Baud, uint Code)[] Codes =
    [
        (50, 1), (75, 2), (110, 3), (134, 4), (150, 5), (200, 6), (300, 7), (600, 8), (1200, 9), (1800, 10),
        (2400, 11), (4800, 12), (9600, 13), (19200, 14), (38400, 15), (57600, 0x1001), (115200, 0x1002),
        (230400, 0x1003), (460800, 0x1004), (500000, 0x1005), (576000, 0x1006), (921600, 0x1007),
        (1000000, 0x1008), (1152000, 0x1009), (1500000, 0x100A), (2000000, 0x100B), (2500000, 0x100C),
        (3000000, 0x100D), (3500000, 0x100E), (4000000, 0x100F),
    ];

    /// <summary>Null for a speed that has no code; such a line's speed is not checked.</summary>
    public static uint? CodeOf(int baud)
    {
        foreach ((int known, uint code) in Codes)
        {
            if (known == baud)
            {
                return code;
            }
        }

        return null;
    }
}
