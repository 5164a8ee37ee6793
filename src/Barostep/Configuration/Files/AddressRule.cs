namespace Barostep.Configuration.Files;

/// <summary>How the address of an instrument on a line is written.</summary>
public static class AddressRule
{
    /// <summary>What an address is.</summary>
    public const string Rule = "an address is 1 to 8 letters and digits, as it stands in the messages";

    /// <summary>What to write.</summary>
    public const string Instead = "write for example address = \"07\"";

    /// <summary>Whether it is one.</summary>
    public static bool Fits(string address) => address.Length is >= 1 and <= 8 && address.All(char.IsAsciiLetterOrDigit);
}
