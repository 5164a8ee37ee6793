namespace Barostep.Lines.GuardLine;

/// <summary>Room for the texts of records, in bytes of UTF-8.</summary>
public static class RecordSizes
{
    /// <summary>A person's name, a run's name, an outcome.</summary>
    public const int Name = 48;

    /// <summary>A definition's name.</summary>
    public const int File = 64;

    /// <summary>The names of the devices on one manifold.</summary>
    public const int Devices = 320;

    /// <summary>A person's reason.</summary>
    public const int Reason = 96;

    /// <summary>SHA-256, hexadecimal.</summary>
    public const int Hash = 64;

    /// <summary>What a guard tells people.</summary>
    public const int Message = 240;

    /// <summary>What an instrument says it is.</summary>
    public const int Identity = 64;

    /// <summary>No record is longer. One byte more is read, so that a longer one shows.</summary>
    public const int Longest = 1024;
}
