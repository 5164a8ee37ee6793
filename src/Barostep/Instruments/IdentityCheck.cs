using System.Text;
using Barostep.Configuration;

namespace Barostep.Instruments;

/// <summary>Compares what an instrument says it is with what the bench file fitted.</summary>
internal static class IdentityCheck
{
    private const string SerialPart = "serial";

    /// <summary>What is wrong, for people; empty where the instrument is the expected one.</summary>
    public static string Problem(FittedInstrument fitted, ReplyPattern pattern, in ReplyValues values, ReadOnlySpan<byte> reply)
    {
        foreach ((string part, string expected) in fitted.Definition.ExpectedIdentity)
        {
            string problem = Compare(fitted, part, expected, pattern, values, reply);
            if (problem.Length > 0)
                return problem;
        }

        return fitted.SerialNumber is null
            ? string.Empty
            : Compare(fitted, SerialPart, fitted.SerialNumber, pattern, values, reply);
    }

    private static string Compare(
        FittedInstrument fitted, string part, string expected, ReplyPattern pattern, in ReplyValues values, ReadOnlySpan<byte> reply)
    {
        int place = pattern.IndexOf(part);
        if (place < 0)
            return $"{fitted.Port}: the identify reply of '{fitted.Definition.Name}' has no part '{part}' to compare with '{expected}'; name it in the reply pattern, or do not expect it";
        string found = Encoding.ASCII.GetString(pattern.Word(place, values, reply, stackalloc byte[32]).Trim((byte)' '));
        return string.Equals(found, expected.Trim(), StringComparison.Ordinal)
            ? string.Empty
            : $"{fitted.Port}: {part} '{expected}' is expected and the instrument says '{found}'; fit the instrument that the bench file names, or correct the bench file";
    }
}
