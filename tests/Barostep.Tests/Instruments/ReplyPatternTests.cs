using System.Globalization;
using System.Text;
using System.Text.RegularExpressions;
using Barostep.Instruments;
using CsCheck;

namespace Barostep.Tests.Instruments;

public class ReplyPatternTests
{
    [Theory]
    [InlineData("{value:number}", "12", "12")]
    [InlineData("{value:number}", "-12.50", "-12.50")]
    [InlineData("{value:number}", "+.5", "0.5")]
    [InlineData("{value:number}", "5.", "5")]
    [InlineData("{value:number}", "+1.234560E+01", "12.3456")]
    [InlineData("{value:number}", "   1e-3", "0.001")]
    [InlineData("{value:number:8}", "  -12.50", "-12.50")]
    [InlineData("\\x02{value:number:8}\\x03", "\u000200012.50\u0003", "12.50")]
    [InlineData("{value:number}{unit:word}", "12.5bar", "12.5")]
    [InlineData("{value:number}{unit:word}", "12.5E", "12.5")]
    [InlineData("{n:integer},{value:number}", "7,1.5", "1.5")]
    [InlineData("P={value:number}{check:sum8hex}", "P=12.553", "12.5")]
    [InlineData("{code:integer},{message:text}", "-113,\"Undefined, really\"", "-113")]
    [InlineData("{flags:hex:4}", "00fF", "255")]
    public void A_number_is_read(string pattern, string reply, string value)
    {
        (ReplyMatch match, decimal read) = Match(pattern, reply);
        Assert.Equal(ReplyMatch.Matched, match);
        Assert.Equal(decimal.Parse(value, CultureInfo.InvariantCulture), read);
    }

    [Theory]
    [InlineData("{value:number}", "")]
    [InlineData("{value:number}", "-")]
    [InlineData("{value:number}", "1.2.3")]
    [InlineData("{value:number}", "1,5")]
    [InlineData("{value:number}", "12.5 ")]
    [InlineData("{value:number}", "NaN")]
    [InlineData("{value:number}", "1E30")]
    [InlineData("{value:number:8}", "12.50")]
    [InlineData("{value:number:8}", "12.5    ")]
    [InlineData("{value:number},{unit:word}", "12.5,")]
    [InlineData("{value:number},{unit:word}", "12.5,bar,1")]
    [InlineData("{value:number}{unit:word}", "12.5b\u00b5r")]
    [InlineData("P={value:number}{check:sum8hex}", "P=12.04e")]
    [InlineData("P={value:number}{check:sum8hex}", "P=12.653")]
    [InlineData("P={value:number}{check:sum8hex}", "P=")]
    [InlineData("{message:text}", "a\u0007b")]
    [InlineData("{message:text}", "\"never ends")]
    public void A_reply_of_another_form_is_not_read(string pattern, string reply)
    {
        Assert.Equal(ReplyMatch.Mismatched, Match(pattern, reply).Match);
    }

    // SCPI-1999 volume 1, 7.2.1.4 and 7.2.1.5, from memory: 9.9E37, -9.9E37 and 9.91E37.
    [Theory]
    [InlineData("9.9E37")]
    [InlineData("-9.9E+37")]
    [InlineData("9.91E37")]
    [InlineData("+9.90000000E+37")]
    public void Infinity_and_not_a_number_are_over_range_and_no_value(string reply)
    {
        Assert.Equal(ReplyMatch.OverRange, Match("{value:number}", reply).Match);
    }

    [Fact]
    public void Quoted_text_may_hold_the_literal_that_ends_it()
    {
        Assert.True(ReplyPattern.TryParse("{code:integer},{message:text},{time:integer}", out ReplyPattern pattern, out _));
        byte[] reply = Encoding.ASCII.GetBytes("5,\"one, \"\"two\"\"\",9");
        ReplyValues values = default;
        Assert.Equal(ReplyMatch.Matched, pattern.Match(reply, ref values));
        Assert.Equal("one, \"\"two\"\"", Encoding.ASCII.GetString(values.Text(pattern.IndexOf("message"), reply)));
    }

    [Theory]
    [InlineData("", 1, "cannot be empty")]
    [InlineData("{value:nmber}", 1, "unknown part '{value:nmber}'")]
    [InlineData("{value}", 1, "write {value:number}")]
    [InlineData("P {value:word:4}", 3, "unknown part")]
    [InlineData("{a:number},{a:word}", 12, "a second part 'a'")]
    [InlineData("{a:number}{b:number},x{c:text}", 11, "nothing tells where 'a' ends")]
    [InlineData("{a:text}{b:word}", 9, "nothing tells where 'a' ends")]
    [InlineData("{a:number}5{b:word}", 11, "would swallow the '5'")]
    [InlineData("{a:number},{b:number},{c:number},{d:number},{e:number},{f:number},{g:number},{h:number},{i:number}", 89, "more than 8 parts")]
    public void Rejects_a_bad_pattern_and_says_where(string text, int position, string rule)
    {
        Assert.False(ReplyPattern.TryParse(text, out _, out string error));
        Assert.StartsWith($"character {position}: ", error, StringComparison.Ordinal);
        Assert.Contains(rule, error, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("P={value:number}{check:sum8hex}", "sum8hex")]
    [InlineData("\\x02{value:number:9},{unit:word}{check:xor8hex}\\x03", "xor8hex")]
    public void Every_change_of_one_byte_of_a_checked_reply_is_noticed(string text, string check)
    {
        Assert.True(ReplyPattern.TryParse(text, out ReplyPattern pattern, out string error), error);
        Assert.True(RequestTemplate.TryParse(check == "sum8hex" ? "P={value:0.000}{check:sum8hex}" : "\\x02{value:0.000:9},bar{check:xor8hex}\\x03", out RequestTemplate template, out error), error);
        byte[] reply = new byte[64];
        long mutated = 0;
        for (decimal value = -20; value <= 20; value += 0.617m)
        {
            Assert.True(template.TryWrite(value, reply, out int length, out decimal told));
            ReplyValues values = default;
            Assert.Equal(ReplyMatch.Matched, pattern.Match(reply.AsSpan(0, length), ref values));
            Assert.Equal(told, values.Number(pattern.ValuePart));
            for (int i = 0; i < length; i++)
            {
                byte original = reply[i];
                for (int other = 1; other < 256; other++, mutated++)
                {
                    reply[i] = (byte)(original ^ other);
                    if (pattern.Match(reply.AsSpan(0, length), ref values) != ReplyMatch.Mismatched)
                        Assert.Fail($"{ReplyTextOf(reply, length)} passed for {told}");
                }

                reply[i] = original;
            }
        }

        Assert.InRange(mutated, 150_000, long.MaxValue);
    }

    [Fact]
    public void A_damaged_plain_reply_is_read_as_it_stands_or_not_at_all()
    {
        Assert.True(ReplyPattern.TryParse("{value:number},{unit:word}", out ReplyPattern pattern, out _));
        string[] seeds = ["12.345,bar", "-0.0021,kPa", "+1.234560E+01,bar", "9.91E37,bar", "  100,Pa"];
        long accepted = 0;
        byte[] usual = "0123456789+-.eE, "u8.ToArray();
        Gen<byte> bytes = Gen.Frequency((3, Gen.Int[0, usual.Length - 1].Select(i => usual[i])), (1, Gen.Byte));
        Gen.Select(Gen.Int[0, seeds.Length - 1].Select(i => seeds[i]), Gen.Select(Gen.Int[0, 99], Gen.Int[0, 3], bytes).Array[1, 3]).Sample(
            (seed, edits) =>
            {
                byte[] reply = Mutate(seed, edits);
                ReplyValues values = default;
                ReplyMatch match = pattern.Match(reply, ref values);
                (ReplyMatch expected, decimal value) = ReadIndependently(Encoding.Latin1.GetString(reply));
                if (match == ReplyMatch.Matched)
                    Interlocked.Increment(ref accepted);
                return match == expected && (match != ReplyMatch.Matched || values.Number(0) == value);
            },
            iter: 200_000);
        Assert.InRange(accepted, 20_000, 190_000);
    }

    [Fact]
    public void Matching_allocates_nothing()
    {
        Assert.True(ReplyPattern.TryParse("{value:number},{unit:word},{text:text}{check:sum8hex}", out ReplyPattern pattern, out _));
        byte[] reply = "12.345,bar,\"ok\"D8"u8.ToArray();
        ReplyValues values = default;
        Assert.Equal(ReplyMatch.Matched, pattern.Match(reply, ref values));
        long before = GC.GetAllocatedBytesForCurrentThread();
        for (int i = 0; i < 10_000; i++)
            pattern.Match(reply, ref values);
        Assert.Equal(0, GC.GetAllocatedBytesForCurrentThread() - before);
    }

    private static byte[] Mutate(string seed, (int Place, int Kind, byte Value)[] edits)
    {
        List<byte> reply = [.. Encoding.Latin1.GetBytes(seed)];
        foreach ((int place, int kind, byte value) in edits)
        {
            int at = place % Math.Max(reply.Count, 1);
            if (kind == 0 || reply.Count == 0)
                reply.Insert(at, value);
            else if (kind == 1)
                reply.RemoveAt(at);
            else
                reply[at] = value;
        }

        return [.. reply];
    }

    /// <summary>The same rules by regular expression and scaled whole numbers instead of by scanner.</summary>
    private static (ReplyMatch Match, decimal Value) ReadIndependently(string reply)
    {
        Match m = Regex.Match(reply, """^ *(?<s>[+-]?)(?<w>[0-9]*)(\.(?<f>[0-9]*))?([eE](?<e>[+-]?[0-9]+))?,(?<u>[!-~]+)\z""");
        string digits = m.Groups["w"].Value + m.Groups["f"].Value;
        if (!m.Success || digits.Length == 0 || m.Groups["u"].Value.IndexOfAny([',', ';', '"']) >= 0)
            return (ReplyMatch.Mismatched, 0);
        System.Numerics.BigInteger mantissa = System.Numerics.BigInteger.Parse(digits, CultureInfo.InvariantCulture);
        System.Numerics.BigInteger wide = m.Groups["e"].Success ? System.Numerics.BigInteger.Parse(m.Groups["e"].Value.TrimStart('+'), CultureInfo.InvariantCulture) : 0;
        if (mantissa.IsZero)
            return (ReplyMatch.Matched, 0);
        if (System.Numerics.BigInteger.Abs(wide) > 100_000)
            return wide > 0 ? (ReplyMatch.OverRange, 0) : (ReplyMatch.Matched, 0);
        int exponent = (int)wide - m.Groups["f"].Length;
        System.Numerics.BigInteger scaled = exponent >= 0 ? mantissa * System.Numerics.BigInteger.Pow(10, exponent) : mantissa;
        if (exponent >= 0 && scaled >= 99 * System.Numerics.BigInteger.Pow(10, 36))
            return (ReplyMatch.OverRange, 0);
        if (scaled > new System.Numerics.BigInteger(decimal.MaxValue) && exponent >= 0)
            return (ReplyMatch.Mismatched, 0);
        decimal value = exponent >= 0 ? (decimal)scaled : Divide(mantissa, -exponent);
        return (ReplyMatch.Matched, m.Groups["s"].Value == "-" ? -value : value);
    }

    /// <summary>Rounded half up in magnitude to the 28 places that a decimal has.</summary>
    private static decimal Divide(System.Numerics.BigInteger mantissa, int places)
    {
        int beyond = places - 28;
        if (beyond > 0)
        {
            System.Numerics.BigInteger step = System.Numerics.BigInteger.Pow(10, beyond);
            mantissa = (mantissa + (step / 2)) / step;
            places = 28;
        }

        return (decimal)mantissa / (decimal)System.Numerics.BigInteger.Pow(10, places);
    }

    private static string ReplyTextOf(byte[] reply, int length) => new ReplyText(reply.AsSpan(0, length)).ToString();

    private static (ReplyMatch Match, decimal Value) Match(string text, string reply)
    {
        Assert.True(ReplyPattern.TryParse(text, out ReplyPattern pattern, out string error), error);
        ReplyValues values = default;
        ReplyMatch match = pattern.Match(Encoding.Latin1.GetBytes(reply), ref values);
        return (match, match == ReplyMatch.Matched ? values.Number(pattern.ValuePart) : 0);
    }
}
