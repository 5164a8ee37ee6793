using System.Text;

namespace Barostep.Daemon.Benchmarks.Fuzz;

/// <summary>Spoils texts and bytes as people, editors and lines do.</summary>
internal static class SpoiltText
{
    private static readonly string[] Tokens =
    [
        "\"", "'", "[", "]", "{", "}", "=", "\n", "\\", "\\x", "{value:number}", "{value:float32:0.1}", "{check:sum8hex}", "{1:uint16}", "{address}", ":", "0",
        "-1", "999999999999999999999", "1e400", "true", "nan", "1979-05-27", "\"\"\"", "[[exchange]]", "[exchange.vent]\n", "[modbus]\n", "unasked = true\n",
        "transport = \"tcp\"\n", "register = 65535\n", "\u00e9", "\0", "\t", "#", ",", "bar", "gauge", "ms", "% of span", "{a:text}{b:text}",
    ];

    /// <summary>The text with some things changed.</summary>
    public static string Of(string text, Random random)
    {
        var spoilt = new StringBuilder(text);
        for (int changes = random.Next(1, 6); changes > 0; changes--)
            Change(spoilt, random);
        return spoilt.ToString();
    }

    /// <summary>The bytes with none or some changed.</summary>
    public static byte[] Of(byte[] bytes, Random random)
    {
        List<byte> spoilt = [.. bytes];
        for (int changes = random.Next(0, 4); changes > 0; changes--)
            Change(spoilt, random);
        return [.. spoilt];
    }

    private static void Change(StringBuilder text, Random random)
    {
        int at = random.Next(text.Length + 1);
        int length = Math.Min(text.Length - at, random.Next(1, 12));
        switch (random.Next(7))
        {
            case 0:
                text.Remove(at, length);
                break;
            case 1:
                text.Insert(at, Tokens[random.Next(Tokens.Length)]);
                break;
            case 2 when length > 0:
                text[at] = (char)random.Next(1, 128);
                break;
            case 3:
                text.Insert(random.Next(text.Length + 1), text.ToString(at, length));
                break;
            case 4:
                SwapLines(text, random);
                break;
            case 5:
                DropLine(text, random);
                break;
            default:
                text.Remove(at, length).Insert(at, Tokens[random.Next(Tokens.Length)]);
                break;
        }
    }

    private static void SwapLines(StringBuilder text, Random random)
    {
        string[] lines = text.ToString().Split('\n');
        int one = random.Next(lines.Length);
        int other = random.Next(lines.Length);
        (lines[one], lines[other]) = (lines[other], lines[one]);
        text.Clear().AppendJoin('\n', lines);
    }

    private static void DropLine(StringBuilder text, Random random)
    {
        List<string> lines = [.. text.ToString().Split('\n')];
        lines.RemoveAt(random.Next(lines.Count));
        text.Clear().AppendJoin('\n', lines);
    }

    private static void Change(List<byte> bytes, Random random)
    {
        int at = random.Next(bytes.Count + 1);
        switch (random.Next(6))
        {
            case 0 when at < bytes.Count:
                bytes[at] ^= (byte)(1 << random.Next(8));
                break;
            case 1 when at < bytes.Count:
                bytes.RemoveAt(at);
                break;
            case 2:
                bytes.Insert(at, (byte)random.Next(256));
                break;
            case 3 when at < bytes.Count:
                bytes.Insert(at, bytes[at]);
                break;
            case 4:
                bytes.RemoveRange(at, bytes.Count - at);
                break;
            case 5 when at + 1 < bytes.Count:
                (bytes[at], bytes[at + 1]) = (bytes[at + 1], bytes[at]);
                break;
        }
    }
}
