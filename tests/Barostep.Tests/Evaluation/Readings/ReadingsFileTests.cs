using Barostep.Evaluation;
using Barostep.Evaluation.Readings;
using Barostep.Procedures;
using Barostep.Records;
using Barostep.Tests.Records;
using CsCheck;

namespace Barostep.Tests.Evaluation.Readings;

public sealed class ReadingsFileTests
{
    private static readonly Procedure _procedure = SampleRuns.UpAndDown with { PointsOfSpan = [0, 0.5, 1], Cycles = 2 };

    private const string Sound = """
        point [% of span],series,reference [bar gauge],indication [mA]
        ,zero before,0.000,4.002
        0,up,0.001,4.001
        50,up,5.000,12.010
        50,up,5.001,12.012
        100,up,10.000,20.016
        50,down,5.000,12.020
        """;

    [Fact]
    public void Rows_become_the_points_and_zeros_of_a_run()
    {
        LoadedReadings loaded = Read(Sound);

        Assert.Empty(loaded.Errors);
        Assert.Equal([(0.0, 1), (500_000.0, 2), (1_000_000.0, 1), (500_000.0, 1)], loaded.Points.Select(point => (point.NominalPascals, point.Samples.Count)));
        Assert.Equal(SeriesDirection.Descending, loaded.Points[3].Direction);
        Assert.True(loaded.Zeros.Single().BeforeSeries);
        Assert.Equal(500_100, loaded.Points[1].Samples[1].Reference.Value, 1e-6);
        Assert.Equal(0.012012, loaded.Points[1].Samples[1].Indication.Value, 1e-12);
        Assert.Equal("12.012", loaded.Points[1].Samples[1].Indication.Raw);
    }

    [Fact]
    public void Units_order_of_columns_and_quotation_marks_change_nothing()
    {
        const string other = "\uFEFF\"indication [A]\",reference [kPa gauge],series,\"point [bar gauge]\",cycle,void\r\n"
            + "\"0.01202\",500,down,5,2,0\r\n\r\n";
        LoadedReadings loaded = Read(other.TrimStart('\uFEFF'));

        Assert.Empty(loaded.Errors);
        Assert.Equal((2, 500_000.0), (loaded.Points[0].Cycle, loaded.Points[0].NominalPascals));
        Assert.Equal(0.01202, loaded.Points[0].Samples[0].Indication.Value, 1e-15);
    }

    [Fact]
    public void Times_bring_both_readings_to_one_moment()
    {
        // The pressure rises by 0.01 bar/s, and the device is read one second after the reference.
        LoadedReadings loaded = Read("""
            point [%],series,reference [bar gauge],indication [mA],reference time [s],indication time [s]
            50,up,5.00,12.016,0,1
            50,up,5.02,12.048,2,3
            """);
        IReadOnlyList<SampleError> errors = SampleErrors.Of(SampleRuns.Transmitter, loaded.Points[0].Samples);

        Assert.Equal(0, errors[0].ErrorPascals, 1e-6);
    }

    [Theory]
    [InlineData("[bar gauge]", "[bar]", "readings.csv:1:26: reference [bar]")]
    [InlineData("[bar gauge]", "[bar absolute]", "and the two are not mixed")]
    [InlineData("[mA]", "", "readings.csv:1:48: indication has no unit")]
    [InlineData("[mA]", "[V]", "gives out a current")]
    [InlineData("series", "serie", "did you mean series")]
    [InlineData("point [% of span],", "reference [bar gauge],", "a second column reference")]
    [InlineData("50,up,5.000", "40,up,5.000", "readings.csv:4:1: point 40")]
    [InlineData("50,up,5.000", "50,upward,5.000", "readings.csv:4:4: series upward")]
    [InlineData("50,up,5.000", "50,up,five", "readings.csv:4:7: five")]
    [InlineData("50,up,5.000", "50,up,\"5,000\"", "write 5.000")]
    [InlineData("50,up,5.000", "50,up,NaN", "readings.csv:4:7: NaN")]
    [InlineData("50,up,5.000", "50,up,", "readings.csv:4:7: an empty field")]
    [InlineData("50,up,5.000", "50,up,5.000,1", "readings.csv:4:1: 5 fields; the first line names 4")]
    [InlineData("50,up,5.000", "50,up,\"5.000", "readings.csv:4:7: a quotation mark that is not closed")]
    [InlineData("50,up,5.000", "50,up,\"5.000\"1", "readings.csv:4:14: '1' after the closing quotation mark")]
    [InlineData("50,up,5.000", "50,up,5.0\"00", "readings.csv:4:10: a quotation mark inside a field")]
    public void What_is_wrong_is_told_at_its_place(string was, string now, string message)
    {
        int at = Sound.IndexOf(was, StringComparison.Ordinal);
        LoadedReadings loaded = Read(Sound.Remove(at, was.Length).Insert(at, now));

        Assert.Empty(loaded.Points);
        Assert.Contains(message, string.Join('\n', loaded.Errors), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("", "the file is empty")]
    [InlineData("point [%],series,reference [bar gauge],indication [mA]\n", "nothing after the first line")]
    [InlineData("point [%],series,reference [bar gauge],indication [mA]\n,zero before,0,4\n", "there are zeros only")]
    [InlineData("point [%],series,reference [bar gauge],indication [mA],cycle\n50,up,5,12,3\n", "cycles 1 to 2")]
    [InlineData("point [%],series,reference [bar gauge],indication [mA],void\n50,up,5,12,yes\n", "write 0 or 1")]
    [InlineData("point [%],series,reference [bar gauge],indication [mA],reference time [s]\n50,up,5,12,3\n", "both have a time or neither")]
    [InlineData("point [%],series,reference [bar gauge],indication [mA],time\n50,up,5,12,3\n", "a time has a unit")]
    public void What_is_missing_is_told(string text, string message) =>
        Assert.Contains(message, string.Join('\n', Read(text).Errors), StringComparison.Ordinal);

    [Fact]
    public void A_procedure_that_only_rises_takes_no_descending_series() =>
        Assert.Contains(
            "does not come down",
            string.Join('\n', ReadingsFile.Read("readings.csv", Sound, SampleRuns.Transmitter, _procedure with { Descending = false }).Errors),
            StringComparison.Ordinal);

    [Fact]
    public void No_text_is_read_with_an_exception() =>
        Gen.Char["point%[],\"\r\nup 50.1series reference bar gauge mA"].Array[0, 200].Sample(characters =>
            Assert.NotEmpty(Read(new string(characters)).Errors));

    private static LoadedReadings Read(string text) => ReadingsFile.Read("readings.csv", text, SampleRuns.Transmitter, _procedure);
}
