namespace Barostep.Configuration.Files;

/// <summary>How the address of an instrument on a line is written.</summary>
internal static class AddressRule
{
    public const string Rule = "an address is 1 to 8 letters and digits, as it stands in the messages";

    public const string Instead = "write for example address = \"07\"";

    public static bool Fits(string address) => address.Length is >= 1 and <= 8 && address.All(char.IsAsciiLetterOrDigit);
}
