using System.Globalization;
using System.Text;
using Barostep.Instruments;
using CsCheck;

namespace Barostep.Tests.Instruments;

public class RequestTemplateTests
{
    [Theory]
    [InlineData("PRES {value:0.0000}", "16.00005", "PRES 16.0000")]
    [InlineData("PRES {value:0.0000}", "-0.00001", "PRES 0.0000")]
    [InlineData("PRES {value:0}", "-12.7", "PRES -13")]
    [InlineData("PRES {value}", "16.50", "PRES 16.50")]
    [InlineData("P{value:0000.00}", "16.5", "P0016.50")]
    [InlineData("P{value:+000.0}", "-2.25", "P-002.2")]
    [InlineData("P{value:+000.0}", "2.35", "P+002.4")]
    [InlineData("P{value:0.00:8}E", "16.5", "P   16.50E")]
    [InlineData("PRES {value:e6}", "1234.5678901", "PRES 1.234568E+03")]
    [InlineData("PRES {value:e3}", "-0.00012344", "PRES -1.234E-04")]
    [InlineData("\\x02A\\{\\}\\\\", "0", "\u0002A{}\\")]
    public void A_value_is_written_in_the_stated_form(string text, string value, string message)
    {
        Assert.Equal(message, Write(text, decimal.Parse(value, CultureInfo.InvariantCulture)));
    }

    [Theory]
    [InlineData("P{value:00.0}", 100)]
    [InlineData("P{value:00.0}", -1)]
    [InlineData("P{value:00.0}", 99.96)]
    [InlineData("P{value:0.00:5}", 123)]
    public void A_value_that_does_not_fit_is_not_cut_but_refused(string text, double value)
    {
        Assert.Null(Write(text, (decimal)value));
    }

    [Fact]
    public void A_check_field_covers_all_bytes_before_it()
    {
        // By hand: 'A' 0x41 + '1' 0x31 = 0x72, exclusive or 0x70.
        Assert.Equal("A172", Write("A{value:0}{check:sum8hex}", 1));
        Assert.Equal("A170", Write("A{value:0}{check:xor8hex}", 1));
    }

    [Fact]
    public void The_told_value_is_what_the_message_says()
    {
        string[] forms = ["0.000", "+0000000.00", "e5", "0.0:12", ""];
        Gen.Select(Gen.Int[-99_999_999, 99_999_999], Gen.Int[0, 6], Gen.Int[0, forms.Length - 1].Select(i => forms[i])).Sample((digits, scale, form) =>
        {
            decimal value = digits / (decimal)Math.Pow(10, scale);
            Assert.True(RequestTemplate.TryParse(form.Length == 0 ? "{value}" : $"{{value:{form}}}", out RequestTemplate template, out _));
            Span<byte> room = stackalloc byte[64];
            if (!template.TryWrite(value, room, out int length, out decimal told))
                return Math.Abs(value) > 9_999_999m;
            return double.Parse(Encoding.ASCII.GetString(room[..length]), CultureInfo.InvariantCulture) == (double)told;
        });
    }

    [Theory]
    [InlineData("", 1, "1 to 128 characters")]
    [InlineData("PRES {value", 6, "never closed")]
    [InlineData("PRES {value:0.00#}", 6, "write {value}")]
    [InlineData("PRES {pressure:0.0}", 6, "write {value}")]
    [InlineData("PRES {value:0.0:0}", 6, "a width")]
    [InlineData("PRES } ", 6, "closes no part")]
    [InlineData("PRES \\q", 6, "unknown escape")]
    [InlineData("PRES \\x4", 6, "unknown escape")]
    [InlineData("PRES µ", 6, "\\xHH")]
    [InlineData("PRES { }", 7, "letters and digits")]
    public void Rejects_a_bad_template_and_says_where(string text, int position, string rule)
    {
        Assert.False(RequestTemplate.TryParse(text, out _, out string error));
        Assert.StartsWith($"character {position}: ", error, StringComparison.Ordinal);
        Assert.Contains(rule, error, StringComparison.Ordinal);
    }

    private static string? Write(string text, decimal value)
    {
        Assert.True(RequestTemplate.TryParse(text, out RequestTemplate template, out string error), error);
        byte[] room = new byte[RequestTemplate.Longest];
        return template.TryWrite(value, room, out int length, out _) ? Encoding.Latin1.GetString(room, 0, length) : null;
    }
}
